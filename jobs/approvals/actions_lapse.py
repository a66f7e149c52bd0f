"""An approval that nobody used: renewed, or let go so that others can be helped with the money."""

from django.db import transaction

from fund.access.models import Person
from fund.commitments.actions_lapse import extend, lapse
from fund.commitments.queries import allowance
from fund.commitments.queries_idle import promised
from fund.money import Money
from fund.refusal import NotReady
from fund.rulebook.queries import rule
from jobs.approvals.actions import open_sheet, say_why, write
from jobs.approvals.models import Approval
from jobs.approvals.rules import refuse_broken
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State, check_step

ASKED_AGAIN = ("eligible", "asker", "answers", "tie", "screener", "owner")


@transaction.atomic
def renew(*, by: Person, repair: RepairOrder, reason: str) -> Approval:
    """Give an approval that nothing was bought for its full time again from today, at the same cost.

    Asks again who may decide and whether the household is still eligible. Refuses a repair on which something was
    bought, whose approval no longer runs out.
    """
    found = open_sheet(by, repair)
    say_why(reason)
    _standing(repair)
    if allowance(repair.number).begun:
        raise NotReady(
            f"Something was bought for {repair.number}, so its approval does not run out. There is nothing to renew."
        )
    refuse_broken([check for check in found.checks if check.rule in ASKED_AGAIN])
    extend(by=by, cost_object=repair.number, until=found.until, reason=reason.strip(), on=found.case.on)
    return write(by, found, "renewal", reason.strip(), None, Money.zero, until=found.until)


@transaction.atomic
def let_go(*, by: Person, repair: RepairOrder, reason: str) -> Approval:
    """Let go of a promise that ran out, or that nobody used for the fund's stale days; the money is free at once.

    A repair nothing was ever bought for goes back to be priced again. On one that was begun the rest may no longer be
    spent: more takes a supplement. Refuses a promise that is in use, and says from when it could be let go.
    """
    found = open_sheet(by, repair)
    say_why(reason)
    rows = promised(found.case.on, repair.number)
    if not rows:
        _standing(repair)
        raise NotReady(f"Nothing is promised to {repair.number} any more.")
    if not (rows[0].ran_out or rows[0].stale):
        raise NotReady(
            f"The promise to {repair.number} was last used on {rows[0].last}; after {rule('stale_days')} days without a "
            "purchase it can be let go. Stop the repair if it will not be done."
        )
    begun = allowance(repair.number).begun
    freed = lapse(by=by, cost_object=repair.number, reason=reason.strip(), on=found.case.on)
    repair.supplement_requests.exclude(answer="no").update(answer="lapsed")
    if repair.state == State.APPROVED and not begun:
        check_step(repair.number, repair.state, State.CHECKED_IN)
        repair.state, repair.approved_on, repair.estimated_on = State.CHECKED_IN, None, None
        repair.save()
    return write(by, found, "let go", reason.strip(), None, freed)


def _standing(repair: RepairOrder) -> None:
    if not repair.promised:
        raise NotReady(f"{repair.number} is {repair.state}: no approval of it stands.")
