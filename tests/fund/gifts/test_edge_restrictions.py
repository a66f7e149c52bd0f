"""Restricted gifts: spent, let go by the giver, sent back, spent on the wrong thing. Never by one person alone."""

from datetime import date

import pytest

from fund.access.models import Person
from fund.commitments.actions import promise, spend
from fund.gifts.actions_restrictions import ask_restriction_change, decide_restriction_change
from fund.gifts.models import Gift, RestrictionChange
from fund.gifts.queries import facts_of
from fund.ledger.actions import add_cost_object, add_purpose, post
from fund.ledger.chart import BANK, PARTS
from fund.ledger.models import Entry, Purpose
from fund.ledger.queries import balance, balances
from fund.ledger.rules import EntryDraft, cr, dr, unspent
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotEnoughMoney, TwoPeopleNeeded
from tests.fund.gifts.cases import ON, by_transfer, supporter
from tests.fund.gifts.files import lines_of

DAY = date(2026, 3, 12)
WORDS = "“use it for any repair”, letter of 2026-03-11"


@pytest.fixture
def tires(treasurer: Person) -> Purpose:
    return add_purpose(by=treasurer, code="tires", name="Tires", giver_words="for tires only")


@pytest.fixture
def gift(treasurer: Person, tires: Purpose) -> Gift:
    return by_transfer(treasurer, 15000, supporter(treasurer), purpose="tires")


def left() -> Money:
    return unspent("tires", balances())


def ask(by: Person, tires: Purpose, kind: str = "release", **more: object) -> RestrictionChange:
    told = {"words": WORDS, "on": DAY, **more}
    return ask_restriction_change(by=by, kind=kind, purpose=tires, **told)  # type: ignore[arg-type]


def test_a_gift_for_tires_releases_what_it_covers_and_general_money_pays_the_rest(
    treasurer: Person, owner: Person, gift: Gift
) -> None:
    assert lines_of(gift.entry) == [("1000", "tires", "150.00", ""), ("4010", "tires", "-150.00", "S-0001")]
    by_transfer(treasurer, 200_000, supporter(treasurer, "Bo Finch"))
    add_cost_object(by=treasurer, code="RO-0001", label="Elm, wagon")
    promise(
        by=owner,
        cost_object="RO-0001",
        amount=Money(21000),
        tolerance=Money.zero,
        purpose="tires",
        reason="approved",
    )
    lines = [dr(PARTS, Money(21000), cost_object="RO-0001"), cr(BANK, Money(21000))]
    entry = post(by=treasurer, draft=EntryDraft("receipt", ON, "Tires", lines))
    spend(by=treasurer, cost_object="RO-0001", amount=Money(21000), entry=entry)
    release = Entry.objects.latest("number")
    assert lines_of(release) == [
        ("3100", "tires", "150.00", ""),
        ("1000", "tires", "-150.00", ""),
        ("1000", "general", "150.00", ""),
        ("3000", "general", "-150.00", ""),
    ]
    assert (left(), str(balance("5000"))) == (Money.zero, "210.00")


def test_a_giver_lets_go_of_a_restriction_in_writing_and_two_people_book_it(
    treasurer: Person, owner: Person, gift: Gift, tires: Purpose
) -> None:
    change = ask(treasurer, tires, amount=Money(15000))
    assert (change.state, left()) == ("asked", Money(15000))
    with pytest.raises(NotAllowed):
        decide_restriction_change(by=treasurer, change=change, agreed=True)
    done = decide_restriction_change(by=owner, change=change, agreed=True)
    assert lines_of(done.entry) == [
        ("3000", "general", "-150.00", ""),
        ("1000", "general", "150.00", ""),
        ("1000", "tires", "-150.00", ""),
        ("3100", "tires", "150.00", ""),
    ]
    assert left() == Money.zero
    with pytest.raises(AlreadyDone, match="RC-0001 was decided on 2026-03-15"):
        decide_restriction_change(by=owner, change=change, agreed=True)


def test_the_owner_never_changes_a_restriction_alone(
    treasurer: Person, owner: Person, gift: Gift, tires: Purpose
) -> None:
    with pytest.raises(NotAllowed):
        ask(owner, tires, amount=Money(100))
    owner.groups.add(*treasurer.groups.all())
    both = Person.objects.get(pk=owner.pk)
    change = ask(both, tires, amount=Money(100))
    with pytest.raises(TwoPeopleNeeded, match="two different people to change what restricted money is for"):
        decide_restriction_change(by=both, change=change, agreed=True)
    with pytest.raises(BadInput, match="Copy the giver's own words"):
        ask(treasurer, tires, words=" ", amount=Money(100))


def test_a_restricted_gift_goes_back_to_its_giver_whole(
    treasurer: Person, owner: Person, gift: Gift, tires: Purpose
) -> None:
    change = ask(treasurer, tires, "return", gift=gift, words="“then please send it back”, 2026-03-11")
    done = decide_restriction_change(by=owner, change=change, agreed=True)
    assert lines_of(done.entry) == [
        ("4900", "tires", "150.00", "S-0001"),
        ("1000", "tires", "-150.00", ""),
    ]
    assert facts_of(gift).state == "refunded"
    assert left() == Money.zero


def test_restricted_money_released_for_the_wrong_thing_is_repaid_by_general_money(
    treasurer: Person, accountant: Person, owner: Person, gift: Gift, tires: Purpose
) -> None:
    wrong = ask(treasurer, tires, amount=Money(9000), words="thought the letter covered the alternator")
    decide_restriction_change(by=owner, change=wrong, agreed=True)
    change = ask(
        treasurer, tires, "repay", amount=Money(9000), words="90.00 paid for an alternator, not for tires"
    )
    done = decide_restriction_change(by=accountant, change=change, agreed=True)
    assert lines_of(done.entry) == [
        ("3000", "general", "90.00", ""),
        ("1000", "general", "-90.00", ""),
        ("1000", "tires", "90.00", ""),
        ("3100", "tires", "-90.00", ""),
    ]
    assert done.entry is not None
    assert "general money repays the pot. 90.00 paid for an alternator" in done.entry.text
    assert left() == Money(15000)


def test_a_change_that_is_refused_books_nothing(
    treasurer: Person, owner: Person, gift: Gift, tires: Purpose
) -> None:
    before = Entry.objects.count()
    change = ask(treasurer, tires, amount=Money(100))
    assert decide_restriction_change(by=owner, change=change, agreed=False).state == "refused"
    assert Entry.objects.count() == before


def test_no_more_leaves_a_pot_than_lies_in_it(treasurer: Person, gift: Gift, tires: Purpose) -> None:
    with pytest.raises(NotEnoughMoney, match="150.00 is left for Tires, so 150.01 cannot leave it"):
        ask(treasurer, tires, amount=Money(15001))
    with pytest.raises(NotEnoughMoney, match="General money in the bank is 0.00"):
        ask(treasurer, tires, "repay", amount=Money(1))
    with pytest.raises(BadInput, match="Name the gift for Tires that goes back"):
        ask(treasurer, tires, "return")
