from datetime import date

import pytest

from fund.access.models import Person
from fund.gifts.actions import Charge, add_supporter, record_gift
from fund.gifts.actions_cash import bank_deposit
from fund.gifts.actions_payout import import_payout
from fund.gifts.actions_returns import record_refund, return_check
from fund.gifts.models import Gift, Payout, Platform
from fund.ledger.models import Entry
from fund.ledger.queries import balance
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady
from tests.fund.gifts.files import kettle_card, kettle_file, lines_of, taken, to_bank

BACK = date(2026, 3, 13)


@pytest.fixture
def check(treasurer: Person) -> Gift:
    ada = add_supporter(by=treasurer, name="Ada Moss")
    return record_gift(
        by=treasurer,
        kind="check",
        received_on=date(2026, 3, 2),
        amount=Money(5000),
        supporter=ada,
        check_number="7",
    )


@pytest.fixture
def banked(treasurer: Person, check: Gift) -> Gift:
    bank_deposit(by=treasurer, on=date(2026, 3, 4), gifts=[check])
    return check


def test_a_returned_check_undoes_its_gift_and_the_banks_charge_is_a_cost(
    treasurer: Person, banked: Gift
) -> None:
    back = return_check(by=treasurer, gift=banked, on=BACK, bank_fee=Money(1200), reason="no funds")
    assert lines_of(back.entry) == [
        ("4900", "general", "50.00", "S-0001"),
        ("1000", "general", "-50.00", ""),
        ("5310", "general", "12.00", ""),
        ("1000", "general", "-12.00", ""),
    ]
    assert str(-balance("4000")) == "50.00"  # the gift stays as it was booked


def test_a_check_comes_back_once(treasurer: Person, banked: Gift) -> None:
    return_check(by=treasurer, gift=banked, on=BACK)
    with pytest.raises(AlreadyDone, match="50.00 of G-00001 has gone back before. Nothing was posted."):
        return_check(by=treasurer, gift=banked, on=BACK)
    with pytest.raises(AlreadyDone):
        record_refund(by=treasurer, gift=banked, on=BACK, reason="asked")


def test_a_check_that_was_not_banked_cannot_come_back(treasurer: Person, check: Gift) -> None:
    with pytest.raises(NotReady, match="has not been banked yet"):
        return_check(by=treasurer, gift=check, on=BACK)


def test_only_checks_come_back_and_not_before_they_were_banked(treasurer: Person, banked: Gift) -> None:
    other = record_gift(
        by=treasurer, kind="transfer", received_on=BACK, amount=Money(100), supporter=banked.supporter
    )
    with pytest.raises(BadInput, match="is not a check"):
        return_check(by=treasurer, gift=other, on=BACK)
    with pytest.raises(BadInput, match="2026-03-03 is before the gift came in on 2026-03-04"):
        return_check(by=treasurer, gift=banked, on=date(2026, 3, 3))
    with pytest.raises(BadInput, match="The bank's charge is zero or more"):
        return_check(by=treasurer, gift=banked, on=BACK, bank_fee=Money(-1))


def test_a_card_gift_goes_back_whole_through_its_processor(treasurer: Person) -> None:
    charge = Charge(Platform.objects.get(code="kettle-card"), "c1", processing_fee=Money(50))
    gift = record_gift(
        by=treasurer, kind="card", received_on=date(2026, 3, 2), amount=Money(2500), charge=charge
    )
    back = record_refund(by=treasurer, gift=gift, on=BACK, reason="charged twice", platform_ref="r1")
    assert lines_of(back.entry) == [("4900", "general", "25.00", ""), ("1032", "general", "-25.00", "")]
    data = kettle_file(
        taken("c1", "2026-03-02", "25.00", "0.50"),
        taken("c2", "2026-03-02", "40.00", "1.00"),
        taken("r1", "2026-03-13", "-25.00", movement="money back", original_id="c1"),
        to_bank("P1", "2026-03-14", "-38.50"),
    )
    done = import_payout(by=treasurer, data=data, filename="p1.csv", layout=kettle_card())
    assert (done.posted, done.already) == (2, 2)
    assert balance("1032") == Money.zero
    back.refresh_from_db()
    assert back.payout == Payout.objects.get()


def test_a_refund_never_takes_another_way(treasurer: Person, check: Gift) -> None:
    with pytest.raises(NotReady, match="Hand the check back or bank it first"):
        record_refund(by=treasurer, gift=check, on=BACK, reason="asked")
    cash = record_gift(
        by=treasurer, kind="cash", received_on=BACK, amount=Money(100), supporter=check.supporter
    )
    with pytest.raises(BadInput, match="Cash and goods are not refunded here"):
        record_refund(by=treasurer, gift=cash, on=BACK, reason="asked")
    charge = Charge(Platform.objects.get(code="kettle-card"), "c1")
    card = record_gift(by=treasurer, kind="card", received_on=BACK, amount=Money(100), charge=charge)
    with pytest.raises(BadInput, match="Write the id that Kettle Card gave the refund"):
        record_refund(by=treasurer, gift=card, on=BACK, reason="asked")


def test_a_refund_needs_a_reason_and_the_power(treasurer: Person, owner: Person, banked: Gift) -> None:
    before = Entry.objects.count()
    with pytest.raises(BadInput, match="Say in a few words why the gift goes back"):
        record_refund(by=treasurer, gift=banked, on=BACK, reason=" ")
    with pytest.raises(NotAllowed):
        record_refund(by=owner, gift=banked, on=BACK, reason="asked")
    assert Entry.objects.count() == before
