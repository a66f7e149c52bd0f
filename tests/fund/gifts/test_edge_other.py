"""Benefits, matches, goods, loans and pledges: what is a gift, what is owed, what is neither."""

from datetime import date
from typing import Any

import pytest

from fund import clock
from fund.access.models import Person
from fund.commitments.queries import position
from fund.gifts.actions import Charge, GivenPart, record_gift
from fund.gifts.actions_benefits import add_benefit, owe_benefit, send_benefit
from fund.gifts.actions_loans import forgive_loan, record_loan, repay_loan
from fund.gifts.actions_payout import import_payout
from fund.gifts.actions_pledges import end_pledge, record_pledge
from fund.gifts.actions_terms import correct_amount
from fund.gifts.models import Benefit, Gift, GiftBenefit, Platform, Supporter
from fund.gifts.proofs import clearing_breaks, waiting_breaks
from fund.gifts.queries import facts_of, gifts_of
from fund.gifts.queries_loans import loans, still_owed
from fund.gifts.queries_pledges import next_months
from fund.ledger import chart
from fund.ledger.actions import add_purpose, close_month
from fund.ledger.actions_hand import post_by_hand
from fund.ledger.models import Entry
from fund.ledger.queries import balance
from fund.ledger.rules import cr, dr
from fund.money import Money
from fund.receipts.actions_shelf import issue_from_shelf
from fund.receipts.models import ShelfLot
from fund.refusal import AlreadyDone, BadInput, NotReady
from tests.fund.gifts.cases import ON, by_card, by_transfer, last, supporter
from tests.fund.gifts.files import kettle_card, kettle_file, lines_of, taken

DAY = date(2026, 3, 12)


@pytest.fixture
def ada(treasurer: Person) -> Supporter:
    return supporter(treasurer)


@pytest.fixture
def mug(treasurer: Person) -> Benefit:
    return add_benefit(by=treasurer, name="Mug", value=Money(1500), cost=Money(420), bears_name=True)


def test_a_membership_with_a_mug_is_part_gift_and_part_owed(
    treasurer: Person, ada: Supporter, mug: Benefit
) -> None:
    charge = Charge(Platform.objects.get(code="patch-circle"), "ch1")
    gift = record_gift(
        by=treasurer,
        kind="platform",
        received_on=ON,
        amount=Money(12000),
        supporter=ada,
        charge=charge,
        benefit=mug,
    )
    assert lines_of(gift.entry) == [
        ("1031", "general", "120.00", ""),
        ("4000", "general", "-105.00", "S-0001"),
        ("2050", "general", "-15.00", "S-0001"),
    ]
    facts = facts_of(gift)
    assert (str(facts.deductible), facts.benefit, str(facts.benefit_cost), facts.benefit_bears_name) == (
        "105.00",
        "Mug",
        "4.20",
        True,
    )
    sent = send_benefit(by=treasurer, owed=GiftBenefit.objects.get(), on=DAY)
    assert lines_of(sent.sent_entry) == [
        ("2050", "general", "15.00", "S-0001"),
        ("4050", "general", "-15.00", ""),
        ("5400", "general", "4.20", ""),
        ("1000", "general", "-4.20", ""),
    ]
    with pytest.raises(AlreadyDone, match="It was sent on 2026-03-12"):
        send_benefit(by=treasurer, owed=sent, on=DAY)
    assert [*waiting_breaks(), *clearing_breaks()] == []


def test_a_benefit_is_owed_for_a_gift_that_came_with_a_file(
    treasurer: Person, ada: Supporter, mug: Benefit
) -> None:
    gift = by_card(treasurer, 12000, giver=ada)
    owe_benefit(by=treasurer, gift=gift, benefit=mug)
    assert last() == [("4000", "general", "15.00", "S-0001"), ("2050", "general", "-15.00", "S-0001")]
    with pytest.raises(AlreadyDone, match="has a benefit already"):
        owe_benefit(by=treasurer, gift=gift, benefit=mug)
    with pytest.raises(BadInput, match="at least 15.00"):
        owe_benefit(by=treasurer, gift=by_card(treasurer, 1000, "c2"), benefit=mug)
    assert list(waiting_breaks()) == []


def test_an_employers_match_is_booked_gross_and_is_the_employers_gift(
    treasurer: Person, ada: Supporter
) -> None:
    employer = supporter(treasurer, "Millrace Tannery")
    gift = record_gift(
        by=treasurer,
        kind="transfer",
        received_on=ON,
        amount=Money(20000),
        supporter=employer,
        kept_fee=Money(1000),
        credited=(ada,),
    )
    assert lines_of(gift.entry) == [
        ("1000", "general", "190.00", ""),
        ("5300", "general", "10.00", ""),
        ("4000", "general", "-200.00", "S-0002"),
    ]
    assert gifts_of(ada) == []
    assert list(ada.credited.all()) == [gift]
    assert [str(facts.deductible) for facts in gifts_of(employer)] == ["200.00"]


def test_a_new_alternator_given_lies_on_the_shelf_at_fair_value(
    owner: Person, treasurer: Person, ada: Supporter, volunteer: Person
) -> None:
    gift = record_gift(
        by=treasurer,
        kind="goods",
        received_on=ON,
        amount=Money(21500),
        supporter=ada,
        goods_account=chart.SHELF,
        part=GivenPart("alternator", "each", 1000),
        note="new alternator, boxed",
    )
    assert lines_of(gift.entry) == [
        ("1200", "general", "215.00", ""),
        ("4020", "general", "-215.00", "S-0001"),
    ]
    facts = facts_of(gift)
    assert (facts.goods, facts.description) == (True, "new alternator, boxed")
    issue_from_shelf(by=volunteer, quantity=1000, on=DAY, item="alternator", home="supplies")
    assert last() == [("5200", "general", "215.00", ""), ("1200", "general", "-215.00", "")]


def test_a_used_part_is_a_quantity_worth_nothing_with_a_note(
    treasurer: Person, ada: Supporter, volunteer: Person
) -> None:
    gift = record_gift(
        by=treasurer,
        kind="goods",
        received_on=ON,
        amount=Money.zero,
        supporter=ada,
        goods_account=chart.SHELF,
        part=GivenPart("starter", "each", 1000),
        note="used starter from a scrapped car",
    )
    assert (gift.entry, Entry.objects.count()) == (None, 0)
    lot = ShelfLot.objects.get()
    assert (lot.quantity, lot.cost, lot.source) == (1000, Money.zero, gift.code)
    assert facts_of(gift).description == "used starter from a scrapped car"
    issue_from_shelf(by=volunteer, quantity=1000, on=DAY, lot=lot, home="supplies")
    assert Entry.objects.count() == 0
    with pytest.raises(BadInput, match="A gift is more than zero"):
        record_gift(by=treasurer, kind="goods", received_on=ON, amount=Money.zero, supporter=ada, note="rags")


def test_the_owner_lends_and_is_repaid_and_the_rest_is_forgiven_in_writing(treasurer: Person) -> None:
    maren = supporter(treasurer, "Maren Holt")
    loan = record_loan(by=treasurer, lender=maren, amount=Money(30000), on=ON, words="for a pump, until June")
    assert lines_of(loan.entry) == [
        ("1000", "general", "300.00", ""),
        ("2060", "general", "-300.00", "S-0001"),
    ]
    assert gifts_of(maren) == []  # never shown as a gift first
    back = repay_loan(by=treasurer, loan=loan, amount=Money(20000), on=DAY)
    assert lines_of(back.entry) == [
        ("2060", "general", "200.00", "S-0001"),
        ("1000", "general", "-200.00", ""),
    ]
    with pytest.raises(NotReady, match="A loan is forgiven in writing"):
        forgive_loan(by=treasurer, loan=loan, amount=Money(10000), on=DAY, words=" ")
    with pytest.raises(BadInput, match="100.00 of B-0001 is still owed"):
        forgive_loan(by=treasurer, loan=loan, amount=Money(10001), on=DAY, words="letter of 2026-03-12")
    done = forgive_loan(by=treasurer, loan=loan, amount=Money(10000), on=DAY, words="letter of 2026-03-12")
    assert lines_of(done.entry) == [
        ("2060", "general", "100.00", "S-0001"),
        ("4000", "general", "-100.00", "S-0001"),
    ]
    told: Any = loans().get()
    assert (still_owed(loan), told.gone) == (Money.zero, Money(30000))
    assert [(facts.gift.kind, str(facts.amount)) for facts in gifts_of(maren)] == [("forgiven", "100.00")]
    assert list(waiting_breaks()) == []


def test_a_fund_overdrawn_against_restricted_money_may_promise_nothing(
    treasurer: Person, ada: Supporter
) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires", giver_words="for tires")
    by_transfer(treasurer, 30000, ada, purpose="tires")
    lines = [dr(chart.ADMIN, Money(11800)), cr(chart.BANK, Money(11800))]
    post_by_hand(by=treasurer, day=DAY, text="Insurance", lines=lines)
    now = position()
    assert (str(now.bank), str(now.restricted), str(now.free_to_commit)) == ("182.00", "300.00", "-1,118.00")


def test_a_pledge_is_in_the_outlook_and_nowhere_else(treasurer: Person, ada: Supporter) -> None:
    pledge = record_pledge(by=treasurer, supporter=ada, amount=Money(50000), due_on=date(2026, 5, 1))
    record_pledge(by=treasurer, supporter=ada, amount=Money(2500), due_on=date(2026, 4, 10), monthly=True)
    assert not Entry.objects.exists()
    assert not Gift.objects.exists()
    assert position().free_to_commit == Money(-100_000)
    told = [(one.month, str(one.pledges)) for one in next_months(date(2026, 3, 15))]
    assert told[:3] == [("2026-04", "25.00"), ("2026-05", "525.00"), ("2026-06", "25.00")]
    end_pledge(by=treasurer, pledge=pledge, why="withdrawn by telephone")
    assert str(next_months(date(2026, 3, 15))[1].pledges) == "25.00"
    with pytest.raises(AlreadyDone, match="P-0001 ended on 2026-03-15"):
        end_pledge(by=treasurer, pledge=pledge, why="again")


def test_a_gift_of_a_published_month_miskeyed_by_forty_is_corrected_in_the_open_one(
    treasurer: Person, ada: Supporter
) -> None:
    with clock.at(date(2026, 2, 20)):
        charge = Charge(Platform.objects.get(code="kettle-card"), "c1")
        gift = record_gift(
            by=treasurer,
            kind="card",
            received_on=date(2026, 2, 2),
            amount=Money(9000),
            supporter=ada,
            charge=charge,
        )
    close_month(by=treasurer, month="2026-02")
    made = correct_amount(by=treasurer, gift=gift, amount=Money(5000), reason="a 5 was read as a 9")
    assert lines_of(made.entry) == [
        ("1032", "general", "-40.00", ""),
        ("4000", "general", "40.00", "S-0001"),
    ]
    assert (made.entry.month, made.entry.later_change) == ("2026-03", True)
    assert str(balance("4000", until=date(2026, 2, 28))) == "-90.00"  # what was published stays
    assert facts_of(Gift.objects.get()).amount == Money(5000)
    assert list(clearing_breaks()) == []
    with pytest.raises(BadInput, match="Write the right amount"):
        correct_amount(by=treasurer, gift=gift, amount=Money(5000), reason="again")


def test_what_a_file_told_is_not_corrected_by_hand(treasurer: Person) -> None:
    data = kettle_file(taken("c1", "2026-03-02", "50.00", to=""))
    import_payout(by=treasurer, data=data, filename="c.csv", layout=kettle_card())
    with pytest.raises(BadInput, match="is told by a file, a count or a deposit"):
        correct_amount(by=treasurer, gift=Gift.objects.get(), amount=Money(4000), reason="looks too much")
