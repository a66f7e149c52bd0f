from datetime import date
from typing import Any

import pytest

from fund.access.models import Person
from fund.gifts.actions_cash import count_cash
from fund.gifts.models import CashCount, Gift
from fund.ledger.models import Entry
from fund.money import Money
from fund.refusal import BadInput, NotAllowed, TwoPeopleNeeded
from tests.fund.gifts.files import lines_of


def count(by: Person, second: Person, **more: Any) -> CashCount:
    told: dict[str, Any] = {
        "on": date(2026, 3, 14),
        "place": "jar in the office",
        "denominations": {2000: 2, 1000: 2, 100: 4},
        **more,
    }
    return count_cash(by=by, second=second, **told)


def test_cash_in_the_jar_is_an_unnamed_gift_that_two_counted(volunteer: Person, owner: Person) -> None:
    counted = count(volunteer, owner)
    assert lines_of(counted.entry) == [("1010", "general", "64.00", ""), ("4000", "general", "-64.00", "")]
    assert (counted.counted_by, counted.second_by) == (volunteer, owner)
    gift = Gift.objects.get()
    assert (gift.kind, gift.supporter, gift.amount, gift.count) == ("cash", None, Money(6400), counted)


def test_a_count_below_the_receipt_book_is_short(volunteer: Person, volunteer2: Person) -> None:
    pieces = {2000: 10, 500: 1, 100: 2}
    counted = count(volunteer, volunteer2, denominations=pieces, receipts=Money(21200), note="counted twice")
    assert lines_of(counted.entry) == [
        ("1010", "general", "207.00", ""),
        ("5320", "general", "5.00", ""),
        ("4000", "general", "-212.00", ""),
    ]


def test_a_count_above_the_receipt_book_is_over(volunteer: Person, volunteer2: Person) -> None:
    counted = count(volunteer, volunteer2, receipts=Money(6000), note="no receipt written for two bills")
    assert lines_of(counted.entry)[1:] == [
        ("5320", "general", "-4.00", ""),
        ("4000", "general", "-60.00", ""),
    ]


def test_a_difference_needs_a_note(volunteer: Person, volunteer2: Person) -> None:
    with pytest.raises(BadInput) as caught:
        count(volunteer, volunteer2, receipts=Money(6900))
    assert caught.value.sentence == (
        "The count is 64.00, the receipt book says 69.00: 5.00 apart. Count again; if it stays so, write a note."
    )


def test_one_person_never_counts_alone(volunteer: Person) -> None:
    with pytest.raises(TwoPeopleNeeded, match="It takes two different people to count cash"):
        count(volunteer, volunteer)
    assert not Entry.objects.exists()


def test_both_need_the_power(volunteer: Person, screener: Person) -> None:
    for first, second in ((volunteer, screener), (screener, volunteer)):
        with pytest.raises(NotAllowed):
            count(first, second)


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"denominations": {}}, "The count is empty. Write how many of each bill and coin there are."),
        ({"denominations": {300: 1}}, "Count each bill and coin in whole pieces, zero or more."),
        ({"denominations": {100: -1}}, "Count each bill and coin in whole pieces, zero or more."),
        ({"on": date(2026, 3, 16)}, "2026-03-16 is after today."),
        (
            {"on": date(2015, 12, 31)},
            "2015-12-31 is long ago; a gift is dated 2016-01-01 or later. Look at the year once more.",
        ),
        ({"place": " "}, "Say where the cash came from: which jar, box or event."),
        ({"receipts": Money(0)}, "The receipt book shows nothing. Leave it empty if none was kept."),
    ],
)
def test_a_count_that_cannot_be(
    volunteer: Person, owner: Person, more: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(BadInput) as caught:
        count(volunteer, owner, **more)
    assert caught.value.sentence == sentence
    assert not CashCount.objects.exists()
