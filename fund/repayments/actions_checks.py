from dataclasses import replace
from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.ledger.actions import post
from fund.ledger.chart import BANK, BANK_FEES
from fund.ledger.lock import hold_books
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotReady, TwoPeopleNeeded
from fund.repayments.actions import let_go, payment_lines
from fund.repayments.models import Repayment
from fund.repayments.queries_held import is_cashed
from fund.trail.actions import record


@transaction.atomic
def stop_check(
    *, by: Person, repayment: Repayment, on: date, reason: str, bank_fee: Money = Money.zero
) -> Repayment:
    """A check that was never cashed is stopped at the bank: the money is back, and it is owed again.

    Its claims are open and can be prepared anew. Refuses what is no paid check, one that the bank has shown, a day before
    it was paid or still to come, one's own check, a negative charge and an empty reason.
    """
    require(by, "repay.prepare")
    hold_books()
    repayment = Repayment.objects.select_related("person").get(pk=repayment.pk)
    _refuse_stop(by, repayment, on, reason, bank_fee)
    text = f"Check {repayment.check_number} of {repayment.code} stopped: {reason.strip()}"
    mirror = [replace(line, amount=-line.amount) for line in payment_lines(repayment)]
    lines = sorted(mirror, key=lambda line: line.amount, reverse=True)
    if bank_fee:
        lines += [dr(BANK_FEES, bank_fee, text="Charge for stopping a check"), cr(BANK, bank_fee)]
    entry = post(by=by, draft=EntryDraft("check stopped", on, text[:200], lines, repayment.code))
    codes = let_go(repayment)
    repayment.state, repayment.stop_entry, repayment.note = "stopped", entry, reason.strip()[:200]
    repayment.save(update_fields=["state", "stop_entry", "note"])
    told = f"{text}. {codes} open again."
    record(by=by, action="repay.stop", subject=repayment.code, text=told, data={"entry": entry.number})
    return repayment


def _refuse_stop(by: Person, repayment: Repayment, on: date, reason: str, bank_fee: Money) -> None:
    if by.pk == repayment.person_id:
        raise TwoPeopleNeeded("Nobody stops their own check. Ask another person with the same role.")
    if repayment.state == "stopped":
        raise AlreadyDone(f"The check of {repayment.code} was stopped before. Nothing was booked again.")
    if repayment.state != "released" or repayment.way != "check":
        raise BadInput(f"{repayment.code} is not a check that was paid out.")
    if is_cashed(repayment):
        raise NotReady(
            f"The bank has shown check {repayment.check_number}, so it was cashed and cannot be stopped."
        )
    if not repayment.on <= on <= clock.today():
        raise BadInput(f"The check is of {repayment.on}; it cannot have been stopped on {on}.")
    if bank_fee < Money.zero:
        raise BadInput("The bank's charge is zero or more.")
    if not reason.strip():
        raise BadInput("Say in a few words why the check is stopped.")
