"""Checks that bounce, wait, arrive late or are made out to the wrong person; gifts on somebody's own account."""

from datetime import date

import pytest

from fund import clock
from fund.access.models import Person
from fund.commitments.queries import free_for, position
from fund.gifts.actions import record_gift
from fund.gifts.actions_cash import bank_deposit
from fund.gifts.actions_checks import book_held_check, hand_back_check, hand_over, hold_check
from fund.gifts.actions_returns import return_check
from fund.gifts.models import Gift, GiftException, HeldCheck, Supporter
from fund.gifts.proofs import undeposited_breaks
from fund.gifts.queries import facts_of
from fund.ledger.actions import add_purpose, close_month
from fund.ledger.models import Entry
from fund.ledger.queries import balance
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotReady
from tests.fund.gifts.cases import ON, by_transfer, supporter
from tests.fund.gifts.files import lines_of


@pytest.fixture
def ada(treasurer: Person) -> Supporter:
    return supporter(treasurer)


def check(by: Person, ada: Supporter, number: str = "7", on: date = ON, arrived: date | None = None) -> Gift:
    return record_gift(
        by=by,
        kind="check",
        received_on=on,
        amount=Money(5000),
        supporter=ada,
        check_number=number,
        arrived_on=arrived,
    )


def test_a_check_that_bounces_undoes_its_gift_and_its_replacement_is_a_new_one(
    treasurer: Person, ada: Supporter
) -> None:
    first = check(treasurer, ada)
    bank_deposit(by=treasurer, on=date(2026, 3, 4), gifts=[first])
    back = return_check(
        by=treasurer, gift=first, on=date(2026, 3, 10), bank_fee=Money(1200), reason="no funds"
    )
    assert lines_of(back.entry) == [
        ("4900", "general", "50.00", "S-0001"),
        ("1000", "general", "-50.00", ""),
        ("5310", "general", "12.00", ""),
        ("1000", "general", "-12.00", ""),
    ]
    facts = facts_of(Gift.objects.get(pk=first.pk))
    assert (facts.state, facts.why_not) == ("returned", "It was returned by the bank.")
    second = check(treasurer, ada, "8", on=date(2026, 3, 12))
    assert lines_of(second.entry) == [
        ("1010", "general", "50.00", ""),
        ("4000", "general", "-50.00", "S-0001"),
    ]
    assert list(undeposited_breaks()) == []


def hold(by: Person, ada: Supporter) -> HeldCheck:
    return hold_check(
        by=by,
        supporter=ada,
        amount=Money(7500),
        check_number="21",
        dated_on=date(2026, 4, 1),
        arrived_on=date(2026, 3, 14),
    )


def test_a_post_dated_check_is_held_and_in_no_book_until_its_date(treasurer: Person, ada: Supporter) -> None:
    held = hold(treasurer, ada)
    assert not Entry.objects.exists()
    with pytest.raises(NotReady, match="HC-0001 is dated 2026-04-01. It is no gift before that day"):
        book_held_check(by=treasurer, held=held)
    with clock.at(date(2026, 4, 1)):
        gift = book_held_check(by=treasurer, held=held)
        assert lines_of(gift.entry) == [
            ("1010", "general", "75.00", ""),
            ("4000", "general", "-75.00", "S-0001"),
        ]
        assert gift.received_on == date(2026, 4, 1)
        with pytest.raises(AlreadyDone, match="HC-0001 is not held any more"):
            book_held_check(by=treasurer, held=held)


def test_a_held_check_goes_back_without_a_trace_in_the_books(treasurer: Person, ada: Supporter) -> None:
    held = hold(treasurer, ada)
    hand_back_check(by=treasurer, held=held, on=date(2026, 3, 15), why="asked for it")
    assert not Entry.objects.exists()
    with pytest.raises(AlreadyDone):
        hand_back_check(by=treasurer, held=held, on=date(2026, 3, 15), why="again")


def test_a_check_whose_date_has_come_is_not_held(treasurer: Person, ada: Supporter) -> None:
    told = {"supporter": ada, "amount": Money(100), "check_number": "1", "arrived_on": ON}
    with pytest.raises(BadInput, match="The check's date, 2026-03-15, has come"):
        hold_check(by=treasurer, dated_on=date(2026, 3, 15), **told)  # type: ignore[arg-type]
    hold(treasurer, ada)
    with pytest.raises(AlreadyDone, match="Check 21 over 75.00 is held already as HC-0001"):
        hold(treasurer, ada)


def test_a_check_postmarked_in_december_and_opened_in_january(treasurer: Person, ada: Supporter) -> None:
    with clock.at(date(2026, 1, 4)):
        gift = check(treasurer, ada, on=date(2025, 12, 31), arrived=date(2026, 1, 4))
        assert gift.entry is not None
        assert (gift.received_on, gift.entry.posting_date, gift.entry.month) == (
            date(2025, 12, 31),
            date(2025, 12, 31),
            "2025-12",
        )
        with pytest.raises(BadInput, match="came in on 2026-01-04, after the deposit of 2026-01-02"):
            bank_deposit(by=treasurer, on=date(2026, 1, 2), gifts=[gift])
        deposit = bank_deposit(by=treasurer, on=date(2026, 1, 4), gifts=[gift])
        assert lines_of(deposit.entry) == [
            ("1000", "general", "50.00", ""),
            ("1010", "general", "-50.00", ""),
        ]
        close_month(by=treasurer, month="2025-12")
        late = check(treasurer, ada, "8", on=date(2025, 12, 31), arrived=date(2026, 1, 4))
        assert late.entry is not None
        assert (late.received_on, late.entry.document_date) == (date(2025, 12, 31), date(2025, 12, 31))
        assert (late.entry.month, late.entry.later_change) == ("2026-01", True)


def test_a_check_made_out_to_a_mechanic_is_endorsed_over_and_flagged(
    treasurer: Person, volunteer: Person, ada: Supporter
) -> None:
    told = {"kind": "check", "received_on": ON, "amount": Money(5000), "supporter": ada, "check_number": "9"}
    with pytest.raises(
        NotReady, match="The check is made out to Tavi Brandt. Ask the giver for one made out"
    ):
        record_gift(by=treasurer, payable_to=volunteer, **told)  # type: ignore[arg-type]
    gift = record_gift(by=treasurer, payable_to=volunteer, endorsed=True, **told)  # type: ignore[arg-type]
    assert lines_of(gift.entry) == [("1010", "general", "50.00", ""), ("4000", "general", "-50.00", "S-0001")]
    found = GiftException.objects.get()
    assert (found.kind, list(found.gifts.all())) == ("check to crew", [gift])


def test_a_gift_to_the_owners_own_account_is_due_until_it_reaches_the_bank(
    treasurer: Person, owner: Person, ada: Supporter
) -> None:
    gift = record_gift(
        by=treasurer, kind="via crew", received_on=ON, amount=Money(30000), supporter=ada, held_by=owner
    )
    assert lines_of(gift.entry) == [
        ("1130", "general", "300.00", "maren"),
        ("4000", "general", "-300.00", "S-0001"),
    ]
    assert (position().free_to_commit, GiftException.objects.get().resolved_on) == (Money(-100000), None)
    made = hand_over(by=treasurer, gifts=[gift], on=date(2026, 3, 12))
    assert lines_of(made.entry) == [
        ("1000", "general", "300.00", ""),
        ("1130", "general", "-300.00", "maren"),
    ]
    assert balance("1130") == Money.zero
    assert GiftException.objects.get().resolution == "Brought to the bank with T-0001."
    with pytest.raises(AlreadyDone, match="is not on Maren Holt's account"):
        hand_over(by=treasurer, gifts=[gift], on=date(2026, 3, 12))


def test_a_restricted_gift_keeps_its_purpose_when_it_is_handed_over(
    treasurer: Person, owner: Person, ada: Supporter
) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires", giver_words="for tires")
    told = {"kind": "via crew", "received_on": ON, "supporter": ada, "held_by": owner}
    gifts = [
        record_gift(by=treasurer, amount=Money(30000), purpose="tires", **told),  # type: ignore[arg-type]
        record_gift(by=treasurer, amount=Money(5000), **told),  # type: ignore[arg-type]
    ]
    made = hand_over(by=treasurer, gifts=gifts, on=date(2026, 3, 12))
    assert sorted(lines_of(made.entry)) == [
        ("1000", "general", "50.00", ""),
        ("1000", "tires", "300.00", ""),
        ("1130", "general", "-50.00", "maren"),
        ("1130", "tires", "-300.00", "maren"),
    ]
    assert (balance("1130", purpose="tires"), free_for("tires")) == (Money.zero, Money(30000))


def test_gifts_of_two_people_are_not_brought_in_one_transfer(
    treasurer: Person, owner: Person, volunteer: Person, ada: Supporter
) -> None:
    gifts = [
        record_gift(
            by=treasurer, kind="via crew", received_on=ON, amount=Money(100), supporter=ada, held_by=who
        )
        for who in (owner, volunteer)
    ]
    with pytest.raises(BadInput, match="that one person brings"):
        hand_over(by=treasurer, gifts=gifts, on=ON)
    with pytest.raises(BadInput, match="that one person brings"):
        hand_over(by=treasurer, gifts=[by_transfer(treasurer, 100, ada)], on=ON)
