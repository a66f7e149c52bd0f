from datetime import date
from typing import Any

import pytest

from fund.access.models import Person
from fund.gifts.actions import Charge, GivenPart, add_supporter, edit_supporter, record_gift
from fund.gifts.models import Gift, Platform, Supporter
from fund.ledger import chart
from fund.ledger.actions import add_purpose
from fund.ledger.models import Entry
from fund.money import Money
from fund.receipts.models import ShelfLot
from fund.refusal import AlreadyDone, BadInput, NotAllowed
from tests.fund.gifts.files import lines_of

ON = date(2026, 3, 2)


@pytest.fixture
def ada(treasurer: Person) -> Supporter:
    return add_supporter(by=treasurer, name="Ada Moss", email="Ada@Example.org")


def give(by: Person, **more: Any) -> Gift:
    told: dict[str, Any] = {"kind": "transfer", "received_on": ON, "amount": Money(5000), **more}
    return record_gift(by=by, **told)


def test_a_transfer_lies_in_the_bank(treasurer: Person, ada: Supporter) -> None:
    gift = give(treasurer, supporter=ada)
    assert lines_of(gift.entry) == [("1000", "general", "50.00", ""), ("4000", "general", "-50.00", "S-0001")]
    assert gift.entry is not None
    assert (gift.code, gift.entry.document_date, gift.entry.source) == ("G-00001", ON, "G-00001")


def test_a_check_and_named_cash_wait_undeposited(treasurer: Person, ada: Supporter) -> None:
    for kind, number in (("check", "1043"), ("cash", "")):
        gift = give(treasurer, supporter=ada, kind=kind, check_number=number)
        assert lines_of(gift.entry)[0] == ("1010", "general", "50.00", "")


def test_a_restricted_gift_goes_to_its_own_account_and_purpose(treasurer: Person, ada: Supporter) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires", giver_words="for tires only")
    gift = give(
        treasurer, supporter=ada, kind="check", check_number="1", amount=Money(15000), purpose="tires"
    )
    assert lines_of(gift.entry) == [("1010", "tires", "150.00", ""), ("4010", "tires", "-150.00", "S-0001")]


def test_goods_are_booked_at_fair_value_where_they_went(treasurer: Person, ada: Supporter) -> None:
    told = {"kind": "goods", "supporter": ada, "amount": Money(4000), "note": "box of shop towels"}
    gift = give(treasurer, goods_account=chart.SUPPLIES, **told)
    assert lines_of(gift.entry) == [("5200", "general", "40.00", ""), ("4020", "general", "-40.00", "S-0001")]


def test_a_given_part_becomes_a_lot_on_the_shelf(treasurer: Person, ada: Supporter) -> None:
    told = {"kind": "goods", "supporter": ada, "amount": Money(21500), "note": "new alternator, boxed"}
    part = GivenPart("alternator", "each", 1000)
    gift = give(treasurer, goods_account=chart.SHELF, part=part, **told)
    assert lines_of(gift.entry) == [
        ("1200", "general", "215.00", ""),
        ("4020", "general", "-215.00", "S-0001"),
    ]
    lot = ShelfLot.objects.get()
    assert (lot.item, lot.quantity, lot.cost, lot.source, lot.entry) == (
        "alternator", 1000, Money(21500), gift.code, gift.entry,
    )  # fmt: skip
    with pytest.raises(BadInput, match="A part for the shelf, and only such a gift"):
        give(treasurer, goods_account=chart.SHELF, **told)


def test_a_charge_by_hand_waits_in_the_platforms_clearing_account(treasurer: Person, ada: Supporter) -> None:
    charge = Charge(Platform.objects.get(code="kettle-card"), "c77", processing_fee=Money(175))
    gift = give(treasurer, kind="card", supporter=ada, charge=charge)
    assert lines_of(gift.entry) == [
        ("1032", "general", "50.00", ""),
        ("4000", "general", "-50.00", "S-0001"),
        ("5300", "general", "1.75", ""),
        ("1032", "general", "-1.75", ""),
    ]
    with pytest.raises(AlreadyDone, match="Kettle Card c77 is already booked as G-00001"):
        give(treasurer, kind="card", supporter=ada, charge=charge)


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"amount": Money(0)}, "A gift is more than zero, not 0.00."),
        ({"amount": Money(-500)}, "A gift is more than zero, not -5.00."),
        (
            {"received_on": date(2026, 3, 16)},
            "2026-03-16 is after today. Hold a post-dated check until its date.",
        ),
        ({"kind": "check"}, "Write the number of the check."),
        ({"kind": "pebbles"}, "“pebbles” is not a way to give."),
        (
            {"purpose": "wheels"},
            "There is no purpose “wheels” in the books. Add it first, in the giver's own words.",
        ),
        ({"kind": "goods"}, "Say what was given and where it went: supplies, tools or the shelf."),
        (
            {"kind": "card"},
            "A platform or card gift, and only such a gift, names its platform and transaction id.",
        ),
        (
            {"kind": "cash", "supporter": None},
            "Cash without a name is counted by two people: use the cash count.",
        ),
        ({"supporter": None}, "Say who gave it. Someone who wants no name in public can be marked so."),
    ],
)
def test_what_cannot_be_booked_is_said_and_nothing_is_written(
    treasurer: Person, ada: Supporter, more: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(BadInput) as caught:
        give(treasurer, **{"supporter": ada, **more})
    assert caught.value.sentence == sentence
    assert not Entry.objects.exists()


def test_a_check_is_booked_once(treasurer: Person, ada: Supporter) -> None:
    give(treasurer, supporter=ada, kind="check", check_number="1043")
    with pytest.raises(AlreadyDone, match="Check 1043 over 50.00 is already booked as G-00001 of 2026-03-02"):
        give(treasurer, supporter=ada, kind="check", check_number="1043")
    assert Entry.objects.count() == 1


def test_only_a_treasurer_records_a_gift(owner: Person, accountant: Person, ada: Supporter) -> None:
    for person in (owner, accountant):
        with pytest.raises(NotAllowed, match="Only a treasurer may record a gift"):
            give(person, supporter=ada)


def test_one_name_with_one_address_is_one_supporter(treasurer: Person, ada: Supporter) -> None:
    with pytest.raises(AlreadyDone, match="already written down as S-0001"):
        add_supporter(by=treasurer, name="ada moss", email="ada@example.org")
    twin = add_supporter(by=treasurer, name="Ada Moss", email="other@example.org")
    assert twin.code == "S-0002"
    with pytest.raises(BadInput, match="Write the supporter's name"):
        add_supporter(by=treasurer, name=" ")


def test_hiding_a_supporter_changes_no_entry(treasurer: Person, ada: Supporter) -> None:
    gift = give(treasurer, supporter=ada)
    before = lines_of(gift.entry)
    edit_supporter(
        by=treasurer,
        supporter=ada,
        name="Ada Moss",
        email=ada.email,
        address="",
        kind="person",
        anonymous=True,
    )
    ada.refresh_from_db()
    assert ada.anonymous is True
    assert lines_of(gift.entry) == before


def test_a_gift_lies_no_more_than_a_year_before_the_books(treasurer: Person, ada: Supporter) -> None:
    give(treasurer, supporter=ada)
    with pytest.raises(
        BadInput, match="lies more than a year before these books begin; a gift is dated 2025-03-01 or later"
    ):
        give(treasurer, supporter=ada, received_on=date(2025, 2, 28))
    assert Gift.objects.count() == 1
    assert give(treasurer, supporter=ada, received_on=date(2025, 3, 1)).code == "G-00002"


def test_the_first_gift_of_empty_books_may_be_older_but_not_of_another_century(
    treasurer: Person, ada: Supporter
) -> None:
    with pytest.raises(BadInput, match="1900-01-01 is long ago; a gift is dated 2016-01-01 or later"):
        give(treasurer, supporter=ada, received_on=date(1900, 1, 1))
    assert give(treasurer, supporter=ada, received_on=date(2016, 1, 1)).code == "G-00001"
