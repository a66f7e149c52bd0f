"""Cash: without a name, short, spent too early, counted for the wrong jar."""

from datetime import date, timedelta

import pytest

from fund.access.models import Person
from fund.commitments.actions import promise
from fund.gifts.actions_cash import Spent, bank_deposit, count_cash, void_count
from fund.gifts.actions_watch import resolve_exception
from fund.gifts.models import CashCount, Gift, GiftException
from fund.gifts.proofs import undeposited_breaks
from fund.gifts.queries import facts_of
from fund.gifts.queries_counts import pairs
from fund.gifts.rules_counts import gaps
from fund.ledger import chart
from fund.ledger.actions import add_cost_object
from fund.ledger.models import CostObject, Entry
from fund.ledger.queries import balance, cost_of
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotEnoughMoney
from tests.fund.gifts.cases import ON, by_transfer, last, supporter
from tests.fund.gifts.files import lines_of


def count(by: Person, second: Person, cents: int, receipts: int | None = None, **more: object) -> CashCount:
    pieces = {100: cents // 100, 1: cents % 100}
    told = {"on": ON, "place": "jar at the bay", "note": "counted twice", **more}
    return count_cash(
        by=by,
        second=second,
        denominations=pieces,
        receipts=None if receipts is None else Money(receipts),
        **told,  # type: ignore[arg-type]
    )


def test_anonymous_cash_in_the_jar_is_counted_by_two(volunteer: Person, volunteer2: Person) -> None:
    done = count(volunteer, volunteer2, 6400)
    assert lines_of(done.entry) == [("1010", "general", "64.00", ""), ("4000", "general", "-64.00", "")]
    assert facts_of(Gift.objects.get()).why_not == "Nobody is named as its giver."


def test_a_count_short_of_the_receipt_book_is_booked_with_its_note(
    volunteer: Person, volunteer2: Person
) -> None:
    done = count(volunteer, volunteer2, 20700, 21200)
    assert lines_of(done.entry) == [
        ("1010", "general", "207.00", ""),
        ("5320", "general", "5.00", ""),
        ("4000", "general", "-212.00", ""),
    ]
    assert not GiftException.objects.exists()  # five dollars once is a slip


def test_shortages_that_repeat_with_the_same_two_people_are_the_sign(
    volunteer: Person, volunteer2: Person, treasurer: Person
) -> None:
    count(volunteer, volunteer2, 20700, 21200)
    count(volunteer2, volunteer, 10000, 10100)
    found = GiftException.objects.get()
    assert found.kind == "apart"
    assert "Short 1 times before by the same two people within a year." in found.text
    assert [(pair.names, pair.counts, pair.short, str(pair.short_by)) for pair in pairs()] == [
        ("Jun Okafor and Tavi Brandt", 2, 2, "6.00")
    ]
    count(volunteer, treasurer, 9000, 9650)
    assert GiftException.objects.count() == 2  # more than five dollars at once


def test_whoever_counted_does_not_look_a_second_time(
    treasurer: Person, volunteer: Person, owner: Person
) -> None:
    count(treasurer, volunteer, 9000, 9650)
    found = GiftException.objects.get()
    with pytest.raises(BadInput, match="Whoever counted does not look a second time"):
        resolve_exception(by=treasurer, found=found, words="a receipt was written twice")
    resolve_exception(by=owner, found=found, words="a receipt was written twice")
    with pytest.raises(AlreadyDone):
        resolve_exception(by=owner, found=found, words="again")


def test_a_gasket_bought_straight_from_the_jar_is_booked_gross_both_ways(
    treasurer: Person, owner: Person, volunteer: Person, volunteer2: Person
) -> None:
    by_transfer(treasurer, 300_000, supporter(treasurer))
    add_cost_object(by=treasurer, code="RO-0001", label="Alder, compact car")
    promise(by=owner, cost_object="RO-0001", amount=Money(5000), tolerance=Money.zero, reason="approved")
    gasket = Spent(Money(1800), chart.PARTS, "gasket, bought at once", CostObject.objects.get())
    done = count(volunteer, volunteer2, 2200, spent=[gasket])
    assert lines_of(done.entry) == [("1010", "general", "40.00", ""), ("4000", "general", "-40.00", "")]
    assert last() == [("5000", "general", "18.00", ""), ("1010", "general", "-18.00", "")]
    assert str(cost_of("RO-0001")) == "18.00"
    assert (str(done.total), str(done.spent), str(Gift.objects.get(count=done).amount)) == (
        "22.00",
        "18.00",
        "40.00",
    )
    found = GiftException.objects.get()
    assert (found.kind, found.count) == ("spent first", done)
    deposit = bank_deposit(by=treasurer, on=date(2026, 3, 4), counts=[done])
    assert str(deposit.total) == "22.00"
    assert balance("1010") == Money.zero
    assert list(undeposited_breaks()) == []


def test_a_part_from_the_jar_needs_an_approval_like_any_other(volunteer: Person, volunteer2: Person) -> None:
    repair = add_cost_object(by=volunteer, code="RO-0001", label="Alder")
    with pytest.raises(NotEnoughMoney, match="Nothing has been approved for RO-0001 yet"):
        count(volunteer, volunteer2, 2200, spent=[Spent(Money(1800), chart.PARTS, "gasket", repair)])
    assert not Entry.objects.exists()
    for wrong in (
        Spent(Money(0), chart.SUPPLIES, "towels"),
        Spent(Money(100), chart.SUPPLIES, " "),
        Spent(Money(100), chart.ADMIN, "pizza"),
        Spent(Money(100), chart.PARTS, "gasket"),
    ):
        with pytest.raises(BadInput):
            count(volunteer, volunteer2, 2200, spent=[wrong])


def test_a_void_count_keeps_its_number_and_leaves_nothing_behind(
    treasurer: Person, volunteer: Person, volunteer2: Person
) -> None:
    wrong = count(volunteer, volunteer2, 6400)
    void_count(by=treasurer, count=wrong, reason="written for the wrong jar")
    assert last() == [("1010", "general", "-64.00", ""), ("4000", "general", "64.00", "")]
    right = count(volunteer, volunteer2, 6400)
    assert (wrong.code, right.code) == ("C-0001", "C-0002")
    assert facts_of(Gift.objects.get(count=wrong)).state == "void"
    with pytest.raises(AlreadyDone, match="C-0001 is void"):
        bank_deposit(by=treasurer, on=date(2026, 3, 4), counts=[CashCount.objects.get(pk=wrong.pk)])
    bank_deposit(by=treasurer, on=date(2026, 3, 4), counts=[right])
    with pytest.raises(AlreadyDone, match="was banked with D-0001"):
        void_count(by=treasurer, count=right, reason="too late")
    assert list(undeposited_breaks()) == []


def test_a_count_sheet_that_is_missing_is_named(volunteer: Person, volunteer2: Person) -> None:
    for _ in range(2):
        count(volunteer, volunteer2, 100)
    CashCount.objects.filter(code="C-0002").update(code="C-0004")
    assert "Count sheets are missing: C-0002, C-0003." in list(undeposited_breaks())
    CashCount.objects.filter(code="C-0004").update(code="C-0002")
    assert gaps([]) == []
    assert gaps([1, 2, 5]) == [3, 4]


def test_counts_over_a_year_ago_are_not_held_against_anyone(volunteer: Person, volunteer2: Person) -> None:
    count(volunteer, volunteer2, 900, 1000, on=ON - timedelta(days=400))
    count(volunteer, volunteer2, 900, 1000)
    assert not GiftException.objects.exists()
