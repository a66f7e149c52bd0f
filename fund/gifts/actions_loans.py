"""Money lent to the fund: owed until it is repaid, or forgiven in writing and only then a gift."""

from datetime import date

from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.actions_returns import within
from fund.gifts.models import Gift, Loan, LoanMove, Supporter
from fund.gifts.queries_loans import still_owed
from fund.gifts.rules import FORGIVEN, GENERAL
from fund.gifts.rules_settle import loan_entry, loan_move_entry
from fund.ledger.actions import post
from fund.ledger.lock import hold_books
from fund.money import Money
from fund.numbers import next_code
from fund.refusal import BadInput, NotReady
from fund.trail.actions import record


@transaction.atomic
def record_loan(*, by: Person, lender: Supporter, amount: Money, on: date, words: str) -> Loan:
    """Somebody lent the fund money, which came to the bank. `words` says what for and when it is to be repaid.

    Never shown as a gift first. Refuses nothing lent, no words, a day after today.
    """
    require(by, "gift.record")
    hold_books()
    if amount.minor <= 0 or not words.strip():
        raise BadInput("Write how much was lent, what for, and when it is to be repaid.")
    within(on, on)
    code = next_code(Loan, "code", "B-")
    entry = post(by=by, draft=loan_entry(on=on, code=code, amount=amount, party=lender.code))
    loan = Loan.objects.create(
        code=code, lender=lender, amount=amount, on=on, words=words.strip(), entry=entry
    )
    text = f"{code}: {lender.code} lent {amount.dollars}."
    record(by=by, action="loan.record", subject=code, text=text, data={"entry": entry.number})
    return loan


@transaction.atomic
def repay_loan(*, by: Person, loan: Loan, amount: Money, on: date) -> LoanMove:
    """Pay a loan back, whole or in part. Refuses more than is still owed."""
    return _move(by, loan, amount, on, forgiven=False, words="")


@transaction.atomic
def forgive_loan(*, by: Person, loan: Loan, amount: Money, on: date, words: str) -> LoanMove:
    """The lender wants it back no more and says so in writing: from that day it is a gift of theirs.

    Refuses more than is still owed, and a word that is not in writing.
    """
    if not words.strip():
        raise NotReady("A loan is forgiven in writing. Copy the lender's words here, with their date.")
    return _move(by, loan, amount, on, forgiven=True, words=words.strip())


def _move(by: Person, loan: Loan, amount: Money, on: date, *, forgiven: bool, words: str) -> LoanMove:
    require(by, "gift.record")
    hold_books()
    loan = Loan.objects.select_related("lender").get(pk=loan.pk)
    owed = still_owed(loan)
    if not Money.zero < amount <= owed:
        raise BadInput(f"{owed} of {loan.code} is still owed; write an amount above zero and up to that.")
    within(on, loan.on)
    lender = loan.lender
    draft = loan_move_entry(on=on, code=loan.code, amount=amount, party=lender.code, forgiven=forgiven)
    entry = post(by=by, draft=draft)
    if forgiven:
        Gift.objects.create(
            code=next_code(Gift, "code", "G-", width=5),
            supporter=lender.merged_into or lender,
            received_on=on,
            amount=amount,
            kind=FORGIVEN,
            purpose_id=GENERAL,
            platform_fee=Money.zero,
            processing_fee=Money.zero,
            entry=entry,
            note=f"Loan {loan.code} forgiven"[:300],
        )
    move = LoanMove.objects.create(
        loan=loan, forgiven=forgiven, amount=amount, on=on, words=words, entry=entry
    )
    done = "forgiven" if forgiven else "repaid"
    text = f"{loan.code}: {amount.dollars} {done}, {(owed - amount).dollars} still owed."
    record(by=by, action=f"loan.{done}", subject=loan.code, text=text, data={"entry": entry.number})
    return move
