"""A core deposit takes a share of the tax only where the paper taxes it: the rate tells, and where it does not, it is asked."""

import re
from collections.abc import Callable
from datetime import date
from fractions import Fraction

import pytest
from django.http import QueryDict
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.money import Money
from fund.receipts.filling import fill
from fund.receipts.fingerprint import fingerprint
from fund.receipts.models import CoreDeposit, Receipt
from fund.receipts.queries import asks_of
from fund.receipts.reading.rules import Row
from fund.receipts.reading.rules_fields import Reading, read
from fund.receipts.rules_rate import core_question, kind_of, rate_in, taxed_by_rate
from tests.fund.receipts.makers import m

ClientFor = Callable[[Person], Client]
TODAY = date(2026, 3, 20)

# Part 214.99, core 55.00, tax 17.74 on the part; where the core is taxed, its own tax of 4.54 comes on top.
CASES = [
    ("214.99", "55.00", "17.74", False),
    ("214.99", "55.00", "22.28", True),
    (
        "10.00",
        "12.00",
        "1.00",
        None,
    ),  # 10 % without it, 4.55 % with it: one cent of rounding makes both possible
    ("214.99", "55.00", "60.00", None),  # no rate there can be
]


@pytest.mark.parametrize(("goods", "core", "tax", "taxed"), CASES)
def test_the_rate_tells_whether_a_core_is_taxed(goods: str, core: str, tax: str, taxed: bool | None) -> None:
    lines = [(m(goods), ""), (m(core), "core")]
    assert taxed_by_rate(lines, m(tax)) == {"core": taxed}


def test_the_rate_on_the_paper_decides_where_the_sum_alone_does_not() -> None:
    lines = [(m("10.00"), ""), (m("12.00"), "core")]
    assert taxed_by_rate(lines, m("0.83"), rate=Fraction(33, 400)) == {"core": False}
    assert taxed_by_rate(lines, m("1.82"), rate=Fraction(33, 400)) == {"core": True}


def test_a_fee_without_tax_is_told_by_the_rate_too() -> None:
    lines = [(m("149.00"), ""), (m("22.50"), "fee"), (m("55.00"), "core")]
    assert taxed_by_rate(lines, m("12.29")) == {"core": False, "fee": False}


@pytest.mark.parametrize(
    ("text", "kind"),
    [("CORE CHARGE", "core"), ("Heater core", ""), ("Core 5", "core"), ("Environmental fee", "fee"), ("Hazard switch", "")],
)  # fmt: skip
def test_words_that_tell_a_core_or_a_fee(text: str, kind: str) -> None:
    assert kind_of(text) == kind


def test_the_rate_printed_beside_the_tax() -> None:
    assert (rate_in("TAX 8.25% 17.74"), rate_in("SALES TAX 17.74"), rate_in("90% OFF")) == (
        Fraction(33, 400),
        None,
        None,
    )


def _read(*rows: str) -> Reading:
    return read([Row(text, 0.99) for text in rows], TODAY)


def _filled(reading: Reading) -> tuple[QueryDict, dict[str, tuple[str, str]]]:
    data = QueryDict("lines-TOTAL_FORMS=3", mutable=True)
    return data, fill(data, reading, 60)


def test_a_paper_read_with_its_core_untaxed_takes_the_tick_off() -> None:
    reading = _read(
        "GANTRY PARTS", "CALIPER REMAN 214.99", "CORE 55.00", "SUBTOTAL 269.99", "TAX 17.74", "TOTAL 287.73"
    )
    data, doubts = _filled(reading)
    assert reading.trusted
    assert (data["lines-0-taxed"], data["lines-1-taxed"], data["lines-1-home"]) == ("on", "", "core")
    assert "lines-1-taxed" not in doubts


def test_a_paper_whose_rate_does_not_tell_asks_at_the_box() -> None:
    reading = _read(
        "GANTRY PARTS", "CALIPER 10.00", "CORE 12.00", "SUBTOTAL 22.00", "TAX 1.00", "TOTAL 23.00"
    )
    data, doubts = _filled(reading)
    assert data["lines-1-taxed"] == doubts["lines-1-taxed"][0] == "on"
    assert "is the core deposit taxed?" in doubts["lines-1-taxed"][1]


def test_a_paper_that_prints_its_rate_is_believed() -> None:
    reading = _read(
        "GANTRY PARTS", "CALIPER 10.00", "CORE 12.00", "TAX 8.25% 0.83", "TOTAL 22.83", "CARD 22.83"
    )
    data, _ = _filled(reading)
    assert (reading.rate, data["lines-1-taxed"]) == (Fraction(33, 400), "")


def test_no_tax_is_no_question() -> None:
    assert core_question([(m("10.00"), False, True), (m("5.00"), True, True)], Money.zero) == ""


def _form(buyer: Person, **more: str) -> dict[str, str]:
    return {
        "store": "Gantry Parts", "number": "1", "on": "2026-03-03", "tax": "17.74", "total": "287.73",
        "tender": "own_money", "buyer": str(buyer.pk), "lines-TOTAL_FORMS": "3", "lines-INITIAL_FORMS": "0",
        "lines-0-text": "caliper", "lines-0-amount": "214.99", "lines-0-taxed": "on", "lines-0-home": "part",
        "lines-0-repair": "RO-0001", "lines-1-text": "core", "lines-1-amount": "55.00", "lines-1-home": "core", "save": "yes",
        **more,
    }  # fmt: skip


@pytest.fixture
def page(volunteer: Person, repair: Callable[..., str], client_for: ClientFor) -> Client:
    repair("RO-0001")
    return client_for(volunteer)


def test_a_tick_left_at_a_core_is_asked_about_before_anything_is_kept(
    page: Client, volunteer: Person
) -> None:
    asked = page.post(reverse("receipts:new"), _form(volunteer, **{"lines-1-taxed": "on"}))
    shown = asked.content.decode()
    assert (asked.status_code, Receipt.objects.count()) == (422, 0)
    assert "8.25 % of the taxed lines without the core deposit, 6.57 % with it. Take the tick" in shown
    page.post(reverse("receipts:new"), _form(volunteer))
    draft = Receipt.objects.get()
    look = page.get(reverse("receipts:receipt", args=[draft.code])).content.decode()
    # Dr 5000 232.73, Dr 1110 55.00.
    assert "RO-0001 is charged 232.73" in look
    assert "55.00 is a core deposit" in look


def test_a_paper_that_does_tax_its_core_is_kept_as_it_is(page: Client, volunteer: Person) -> None:
    """The core with its tax of 4.54 lies at 59.54, the part at 232.73."""
    form = _form(volunteer, tax="22.28", total="292.27", **{"lines-1-taxed": "on"})
    page.post(reverse("receipts:new"), form)
    draft = Receipt.objects.get()
    page.post(reverse("receipts:post", args=[draft.code]), {"seen": fingerprint(draft)})
    assert (asks_of(draft), str(CoreDeposit.objects.get().amount)) == ("", "59.54")
    left = page.post(reverse("receipts:new"), _form(volunteer, number="2", tax="22.28", total="292.27"))
    assert "Tick “Taxed” beside the core" in left.content.decode()


def test_who_has_looked_keeps_the_ticks_and_is_not_asked_again(page: Client, volunteer: Person) -> None:
    page.post(reverse("receipts:new"), _form(volunteer, taxed_so="on", **{"lines-1-taxed": "on"}))
    draft = Receipt.objects.get()
    shown = page.get(reverse("receipts:edit", args=[draft.code])).content.decode()
    ticked = re.search(r'<input[^>]*name="taxed_so"[^>]*>', shown)
    assert ticked is not None
    assert "checked" in ticked[0]


def test_the_sum_below_the_form_asks_while_it_is_filled_in(page: Client, volunteer: Person) -> None:
    shown = page.post(reverse("receipts:sum"), _form(volunteer, **{"lines-1-taxed": "on"})).content.decode()
    assert "Is the core deposit taxed?" in shown
