from datetime import date

from fund.access.models import Person
from fund.ledger.actions import post
from fund.ledger.chart import ADVANCES, BANK, OWED_CREW
from fund.ledger.rules import EntryDraft, cr, dr
from fund.repayments.actions import prepare_repayment, release_repayment
from fund.repayments.actions_mileage import enter_mileage
from fund.repayments.proofs import advance_breaks, owed_breaks
from tests.fund.receipts.makers import bought, line, m, paper

DAY = date(2026, 3, 12)


def test_claims_open_prepared_and_paid_agree_with_the_books(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    receipts = [
        bought(volunteer, paper(volunteer, "5.00", "0.00", line("rags", "5.00", "supplies"), number=str(at)))
        for at in range(3)
    ]
    enter_mileage(by=volunteer, person=volunteer, on=DAY, tenths=370, reason="parts run")
    prepare_repayment(papers_seen=True, by=treasurer, person=volunteer, receipts=receipts[:1], on=DAY)
    paid = prepare_repayment(papers_seen=True, by=treasurer, person=volunteer, receipts=receipts[1:2], on=DAY)
    release_repayment(by=owner, repayment=paid)
    assert list(owed_breaks()) == []


def test_an_entry_by_hand_that_no_claim_knows_is_named(
    bank: None, volunteer: Person, treasurer: Person
) -> None:
    lines = [
        dr(OWED_CREW, m("3.00"), party="tavi"),
        dr(ADVANCES, m("4.00"), party="tavi"),
        cr(BANK, m("7.00")),
    ]
    post(by=treasurer, draft=EntryDraft("by hand", DAY, "slip", lines))
    assert list(owed_breaks()) == ["The claims of tavi add up to 0.00, but account 2010 holds -3.00."]
    assert list(advance_breaks()) == ["tavi holds 4.00 in advance by the books, of 0.00 given."]
