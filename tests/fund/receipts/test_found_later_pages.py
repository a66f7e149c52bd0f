"""Found later at the counter or the desk: a receipt that was paid twice, a core that somebody simply handed over."""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.commitments.queries import open_for
from fund.ledger.queries import cost_of
from fund.receipts.actions_takeback import recover_paid_twice
from fund.receipts.models import CoreDeposit, CoreReturn, Receipt
from fund.refusal import BadInput, NotReady
from fund.repayments.actions import prepare_repayment, release_repayment
from tests.fund.receipts.makers import bought, entry_lines, line, m, paper

ClientFor = Callable[[Person], Client]
Repair = Callable[..., str]
DAY = date(2026, 3, 10)


@pytest.fixture
def copies(volunteer: Person, treasurer: Person, owner: Person, repair: Repair) -> list[Receipt]:
    """The same paper entered twice, by a number read wrongly, and both paid back."""
    belt = line("belt", "48.71", ("part", repair()))
    both = [
        bought(volunteer, paper(volunteer, "48.71", "0.00", belt, number=number))
        for number in ("4471", "4477")
    ]
    for receipt in both:
        paid = prepare_repayment(papers_seen=True, by=treasurer, person=volunteer, receipts=[receipt], on=DAY)
        release_repayment(by=owner, repayment=paid)
    return both


def test_a_copy_found_after_it_was_paid_is_written_down_by_the_treasurer_and_owed_by_the_buyer(
    copies: list[Receipt], treasurer: Person, client_for: ClientFor
) -> None:
    page = client_for(treasurer)
    first, second = copies
    shown = page.get(reverse("receipts:receipt", args=[second.code])).content.decode()
    address = reverse("receipts:paid-twice", args=[second.code])
    assert address in shown
    assert reverse("receipts:take-back", args=[second.code]) not in shown
    typed = {"copy_of": first.code.lower(), "on": "2026-03-12"}
    asked = page.post(address, typed).content.decode()
    assert "Tavi Brandt owes the fund 48.71; the next repayment can be netted against it." in asked
    assert cost_of("RO-0001") == m("97.42")
    page.post(address, {**typed, "confirm": "yes"})
    second.refresh_from_db()
    assert second.state == "reversed"
    assert (cost_of("RO-0001"), open_for("RO-0001")) == (m("48.71"), m("451.29"))


@pytest.mark.parametrize("copy_of", ["R-00002", "R-99999", ""])
def test_the_first_paper_must_be_another_receipt_in_the_books(
    copy_of: str, copies: list[Receipt], treasurer: Person, client_for: ClientFor
) -> None:
    address = reverse("receipts:paid-twice", args=["R-00002"])
    answer = client_for(treasurer).post(address, {"copy_of": copy_of, "on": "2026-03-12"})
    assert answer.status_code == 422
    copies[1].refresh_from_db()
    assert copies[1].state == "posted"


def test_what_is_only_prepared_or_of_a_wrong_day_is_not_paid_twice(
    volunteer: Person, treasurer: Person, copies: list[Receipt]
) -> None:
    with pytest.raises(BadInput, match="before the receipt or still to come"):
        recover_paid_twice(by=treasurer, receipt=copies[0], reason="a copy", on=date(2026, 3, 1))
    third = bought(volunteer, paper(volunteer, "9.00", "0.00", line("rags", "9.00", "supplies"), number="9"))
    prepare_repayment(papers_seen=True, by=treasurer, person=volunteer, receipts=[third], on=DAY)
    with pytest.raises(NotReady, match="is not released. Cancel that instead"):
        recover_paid_twice(by=treasurer, receipt=third, reason="a copy")


def _alternator(by: Person, number: str, on: date) -> CoreDeposit:
    data = paper(
        by, "155.00", "0.00", line("alternator", "100.00", ("part", "RO-0001"), condition="reman"),
        line("Alternator core", "55.00", ("core", "RO-0001")), number=number, on=on, tender="fund_card",
    )  # fmt: skip
    return CoreDeposit.objects.get(portion__line__receipt=bought(by, data))


@pytest.fixture
def two_out(volunteer: Person, repair: Repair) -> list[CoreDeposit]:
    repair()
    return [
        _alternator(volunteer, number, on)
        for number, on in (("4471", date(2026, 3, 3)), ("4502", date(2026, 3, 5)))
    ]


PART = "Gantry Parts|Alternator core"


def test_of_two_alternators_the_page_names_the_one_whose_receipt_is_shown_before_it_books(
    two_out: list[CoreDeposit], volunteer: Person, client_for: ClientFor
) -> None:
    page, address = client_for(volunteer), reverse("shelf:handed-over")
    assert "Alternator core, Gantry Parts (2 out)" in page.get(address).content.decode()
    assert address in page.get(reverse("shelf:run")).content.decode()
    typed = {"part": PART, "receipt": "4502", "kind": "full", "to": "bank", "on": "2026-03-10"}
    asked = page.post(address, typed).content.decode()
    assert "It is K-0002 of R-00002, bought on 2026-03-05, 55.00: by the receipt shown." in asked
    assert CoreReturn.objects.count() == 0
    page.post(address, {**typed, "confirm": "yes"})
    back = CoreReturn.objects.get()
    assert (back.core, back.note) == (two_out[1], "matched to 4502")
    assert entry_lines(back.entry_id) == [("1000", "55.00", "", ""), ("1110", "-55.00", "RO-0001", "")]


def test_without_a_receipt_the_oldest_of_that_part_ends_and_the_note_says_so(
    two_out: list[CoreDeposit], volunteer: Person, client_for: ClientFor
) -> None:
    page, address = client_for(volunteer), reverse("shelf:handed-over")
    typed = {"part": PART, "kind": "part", "amount_back": "30.00", "to": "bank", "on": "2026-03-10"}
    assert "the oldest of this part there" in page.post(address, typed).content.decode()
    done = page.post(address, {**typed, "confirm": "yes"}, follow=True).content.decode()
    assert "no receipt presented; the oldest of this part" in done
    back = CoreReturn.objects.get()
    assert back.core == two_out[0]
    assert entry_lines(back.entry_id) == [
        ("1000", "30.00", "", ""), ("5040", "25.00", "RO-0001", ""), ("1110", "-55.00", "RO-0001", ""),
    ]  # fmt: skip


def test_a_receipt_without_such_a_core_is_said_and_what_was_typed_stays(
    two_out: list[CoreDeposit], volunteer: Person, client_for: ClientFor
) -> None:
    typed = {
        "part": PART,
        "receipt": "9999",
        "kind": "full",
        "to": "bank",
        "on": "2026-03-10",
        "note": "left it",
    }
    answer = client_for(volunteer).post(reverse("shelf:handed-over"), typed)
    assert answer.status_code == 422
    assert "Gantry Parts holds no open core of that part from this receipt." in answer.content.decode()
    assert 'value="left it"' in answer.content.decode()
    empty = client_for(volunteer).post(reverse("shelf:handed-over"), {**typed, "part": ""})
    assert empty.status_code == 422


def test_when_no_core_is_out_the_page_says_so(volunteer: Person, bank: None, client_for: ClientFor) -> None:
    assert "No core is out." in client_for(volunteer).get(reverse("shelf:handed-over")).content.decode()
