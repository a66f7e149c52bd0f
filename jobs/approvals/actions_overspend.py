"""Money that was spent beyond an approval: said yes to afterwards, called that, and dated the day it is said."""

from django.db import transaction

from fund.access.guards import require, two_people
from fund.access.models import Person
from fund.as_read import refuse_unread
from fund.commitments.actions import promise, release
from fund.commitments.queries import overruns
from fund.commitments.rules import Overrun
from fund.ledger.lock import hold_books
from fund.money import Money
from fund.receipts.actions import post_receipt
from fund.receipts.models import Receipt
from fund.receipts.queries import shares_of
from fund.receipts.rules import cost_by_repair
from fund.refusal import AlreadyDone, NotReady
from jobs.approvals.actions import open_sheet, say_why, write
from jobs.approvals.models import Approval
from jobs.approvals.rules import refuse_broken
from jobs.approvals.rules_read import SPENT, mark_of_overruns
from jobs.approvals.sheet import Sheet
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State

ASKED = ("asker", "answers", "tie", "screener", "owner")


@transaction.atomic
def ratify_receipt(*, by: Person, receipt: Receipt, reason: str, read: str | None = None) -> list[Approval]:
    """Ratify exactly what a draft, already bought, runs over its approvals, and post it; both or neither.

    It is called that in the record, and never dated back. There is no other way to allow more than was approved after
    the fact: without a paper by somebody else nothing was overspent.

    Booked even when nothing is free to commit, since the debt exists. Refuses a receipt within its approvals (which is
    simply posted), a repair nothing was ever approved for nor consumables taken, the person who bought it, and whom a
    supplement refuses. ``read``: the mark (``rules_read.mark_of_overruns``) of what the page showed it to run over.
    """
    require(by, "repair.approve")
    say_why(reason)
    hold_books()  # what it runs over is reckoned while nobody else can book
    receipt.refresh_from_db()
    if receipt.state != "draft":
        raise AlreadyDone(f"{receipt.code} was posted before. There is nothing to ratify on it.")
    two_people(by, receipt.buyer, "buy beyond an approval and ratify it")
    passing = overruns(cost_by_repair(shares_of(receipt)))
    refuse_unread(read, mark_of_overruns(passing), SPENT)
    if not passing:
        raise NotReady(f"{receipt.code} is within what was approved. Post it; there is nothing to ratify.")
    made = [_ratify_one(by, receipt, row, reason.strip()) for row in passing]
    post_receipt(by=by, receipt=receipt)
    for row in made:
        if row.repair.ended:  # what comes back later is not promised to it anew
            release(by=by, cost_object=row.repair.number, reason=f"{row.repair.number} is {row.repair.state}")
    return made


def _ratify_one(by: Person, receipt: Receipt, row: Overrun, reason: str) -> Approval:
    repair = RepairOrder.objects.filter(number=row.cost_object).first()
    took = repair is not None and repair.approvals.filter(kind="consumables").exists()
    if repair is None or not (row.allowance.promised or took):
        raise NotReady(
            f"Nothing is approved for {row.cost_object}, so nothing can be ratified. Approve the repair first."
        )
    found = open_sheet(by, repair)
    if not (repair.promised or took or repair.state == State.HANDED_BACK):
        raise NotReady(f"{repair.number} is {repair.state}: nothing more is spent on it.")
    words = f"{row.over.dollars} over the limit of {row.allowance.limit.dollars}, bought on {receipt.code}. {reason}"
    return _ratified(by, found, row.over, words, spent_already=True)


def _ratified(by: Person, found: Sheet, amount: Money, reason: str, *, spent_already: bool) -> Approval:
    refuse_broken([check for check in found.checks if check.rule in ASKED])
    promise(
        by=by,
        cost_object=found.repair.number,
        amount=amount,
        tolerance=Money.zero,
        reason=f"Ratified: {reason}"[:300],
        on=found.case.on,
        spent_already=spent_already,
    )
    return write(by, found, "ratification", reason, None, amount)
