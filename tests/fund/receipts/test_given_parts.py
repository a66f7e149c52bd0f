"""Parts from the shelf at what they are in the books at: bought with tax, or given at the value of the gift, maybe none."""

from collections.abc import Callable
from datetime import date
from types import SimpleNamespace
from typing import Any, cast

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.commitments.queries import open_for
from fund.gifts.actions import GivenPart, add_supporter, record_gift
from fund.ledger import chart
from fund.ledger.models import Entry
from fund.ledger.queries import balance, cost_of
from fund.receipts.actions_returns import return_to_shelf
from fund.receipts.actions_shelf import count_shelf, issue_from_shelf
from fund.receipts.models import ReceiptPortion, ShelfIssue, ShelfLot
from fund.receipts.proofs import breaks
from fund.refusal import BadInput
from jobs.handback.parts import Part, parts_of
from tests.fund.receipts.makers import bought, entry_lines, line, m, paper

ClientFor = Callable[[Person], Client]
Repair = Callable[..., str]
DAY = date(2026, 3, 10)


def _given(by: Person, item: str, value: str, quantity: int = 1000) -> ShelfLot:
    giver = add_supporter(by=by, name="Ada Lind", email="", address="")
    record_gift(
        by=by, kind="goods", supporter=giver, amount=m(value), received_on=date(2026, 3, 4), note=item,
        goods_account=chart.SHELF, part=GivenPart(item, "each", quantity),
    )  # fmt: skip
    return ShelfLot.objects.get(item=item)


def _parts(repair: str) -> list[Part]:
    return parts_of(cast(Any, SimpleNamespace(cost_object_id=repair)), cost_of(repair))


def test_a_part_from_the_shelf_costs_what_its_lot_cost_with_tax_never_todays_price(
    volunteer: Person, repair: Repair
) -> None:
    a = repair()
    filters = line("oil filter", "11.27", "shelf")
    bought(volunteer, paper(volunteer, "12.20", "0.93", filters))
    dearer = line("oil filter", "18.00", "shelf", condition="new")
    bought(volunteer, paper(volunteer, "18.00", "0.00", dearer, on=date(2026, 3, 9), number="2"))
    issue = issue_from_shelf(by=volunteer, item="oil filter", quantity=1000, cost_object=a, on=DAY)[0]
    assert entry_lines(issue.entry_id) == [("5000", "12.20", a, ""), ("1200", "-12.20", "", "")]
    assert _parts(a) == [Part("oil filter, 1, from the shelf", "", m("12.20"))]
    assert ShelfLot.objects.get(code="L-0002").condition == "new"


def test_a_part_that_was_given_is_issued_at_the_value_of_the_gift(
    treasurer: Person, volunteer: Person, repair: Repair
) -> None:
    a, lot = repair(), _given(treasurer, "alternator", "215.00")
    assert entry_lines(lot.entry_id) == [("1200", "215.00", "", ""), ("4020", "-215.00", "", "S-0001")]
    issue = issue_from_shelf(by=volunteer, lot=lot, quantity=1000, cost_object=a, on=DAY)[0]
    assert entry_lines(issue.entry_id) == [("5000", "215.00", a, ""), ("1200", "-215.00", "", "")]
    assert (cost_of(a), open_for(a)) == (m("215.00"), m("285.00"))
    assert _parts(a) == [Part("alternator, 1, given, from the shelf", "", m("215.00"))]


def test_a_used_part_given_at_no_value_shows_on_its_job_as_one_used_unit_given(
    treasurer: Person, volunteer: Person, repair: Repair, client_for: ClientFor
) -> None:
    a, lot = repair(), _given(treasurer, "door mirror", "0.00")
    assert (lot.entry, lot.condition, lot.left_cost) == (None, "used", m("0.00"))
    entries = Entry.objects.count()
    page, address = client_for(volunteer), reverse("shelf:issue")
    typed = {"item": "each|door mirror", "quantity": "1", "home": "", "cost_object": a, "on": "2026-03-10"}
    assert f"{a} is charged 0.00." in page.post(address, typed).content.decode()
    page.post(address, {**typed, "confirm": "yes"})
    issue = ShelfIssue.objects.get()
    assert (issue.entry, issue.amount, issue.words) == (None, m("0.00"), "door mirror: 1 used unit, given")
    assert _parts(a) == [Part("door mirror: 1 used unit, given", "used", m("0.00"))]
    assert (Entry.objects.count(), open_for(a), breaks()) == (entries, m("500.00"), [])
    shown = page.get(reverse("shelf:lot", args=[lot.code])).content.decode()
    assert "a gift of goods" in shown
    assert "<dd>used</dd>" in shown


def test_what_was_given_at_no_value_goes_out_before_what_was_bought_later_and_adds_nothing(
    treasurer: Person, volunteer: Person, repair: Repair
) -> None:
    a = repair()
    _given(treasurer, "bulb", "0.00", 2000)
    bought(volunteer, paper(volunteer, "4.00", "0.00", line("bulb", "4.00", "shelf", quantity=2000), on=DAY))
    issues = issue_from_shelf(by=volunteer, item="bulb", quantity=3000, cost_object=a, on=DAY)
    assert [(row.quantity, row.amount) for row in issues] == [(2000, m("0.00")), (1000, m("2.00"))]
    assert entry_lines(issues[0].entry_id) == [("5000", "2.00", a, ""), ("1200", "-2.00", "", "")]
    assert [part.text for part in _parts(a)] == ["bulb: 2 used units, given", "bulb, 1, from the shelf"]
    with pytest.raises(BadInput, match="cost nothing"):
        return_to_shelf(by=volunteer, issue=issues[0], quantity=1000, on=DAY, reason="spare")


def test_a_part_given_at_no_value_that_is_missing_at_the_count_books_nothing(
    treasurer: Person, volunteer: Person, bank: None
) -> None:
    count = count_shelf(
        by=volunteer, lot=_given(treasurer, "door mirror", "0.00"), counted_quantity=0, on=DAY
    )
    assert (count.entry, balance(chart.SHELF), balance(chart.SHELF_LOSS)) == (None, m("0.00"), m("0.00"))


def test_what_comes_back_to_the_shelf_keeps_its_condition(volunteer: Person, repair: Repair) -> None:
    pump = line("water pump", "80.00", ("part", repair()), condition="reman")
    receipt = bought(volunteer, paper(volunteer, "80.00", "0.00", pump))
    portion = ReceiptPortion.objects.get(line__receipt=receipt)
    lot = return_to_shelf(by=volunteer, portion=portion, quantity=1000, on=DAY, reason="job cancelled")
    assert lot.condition == "reman"
