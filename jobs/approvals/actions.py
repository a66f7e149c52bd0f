"""A yes or a no to a repair. A yes commits the money in the same transaction that finds it there."""

from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.as_read import refuse_unread
from fund.commitments.actions import promise
from fund.commitments.actions_lapse import lapse
from fund.commitments.queries import position
from fund.ledger.chart import GENERAL
from fund.money import Money
from fund.refusal import BadInput, NotReady, TwoPeopleNeeded
from fund.trail.actions import record
from jobs.approvals.models import Approval
from jobs.approvals.queries import Sheet, sheet
from jobs.approvals.rules import refuse_broken
from jobs.approvals.rules_read import CHANGED
from jobs.approvals.snapshot import freeze, mark_of
from jobs.repairs.lock import hold
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State, check_step

MOVING = (
    "approval",
    "consumables",
    "supplement",
    "ratification",
    "let go",
)  # what changes how much is free to commit


@transaction.atomic
def approve(
    *,
    by: Person,
    repair: RepairOrder,
    purpose: str = GENERAL,
    on: date | None = None,
    reason: str = "",
    unreachable: str = "",
    read: str | None = None,
) -> Approval:
    """Say yes to an estimate: promise its cost (core deposits apart) and freeze every figure used.

    ``unreachable``: how and when an owner was tried in vain, when a treasurer decides instead, up to a lower limit.
    ``read``: the mark (``snapshot.mark_of``) of the estimate that was on the page; None when it was decided from no page.
    Refuses, in this order: an estimate that changed since it was read, the wrong state, a household not eligible on the
    day, no cause, no estimate, the person who asked, a missing answer about ties, a tie, a cost above what one person may
    approve (in dollars, or as a share of what is free) without a second person's earlier yes, and a cost above what is free
    (``NotEnoughMoney`` with the subtractions).
    """
    found = open_sheet(by, repair, on, purpose, unreachable, read)
    check_step(repair.number, repair.state, State.APPROVED)
    refuse_broken([check for check in found.checks if check.rule != "money"])
    approval = _commit(by, found, "approval", reason.strip())
    repair.state, repair.approved_on = State.APPROVED, found.case.on
    repair.save()
    return approval


@transaction.atomic
def supplement(
    *,
    by: Person,
    repair: RepairOrder,
    purpose: str = GENERAL,
    on: date | None = None,
    reason: str = "",
    unreachable: str = "",
    read: str | None = None,
) -> Approval:
    """Say yes to the supplement that was asked for (``estimates.actions.request_supplement``).

    The same rules as an approval, but eligibility: help once begun is finished.
    """
    found = open_sheet(by, repair, on, purpose, unreachable, read)
    if found.request is None:
        raise NotReady(
            f"Nobody asked for a supplement on {repair.number}. The crew asks for it on its page first."
        )
    refuse_broken([check for check in found.checks if check.rule != "money"])
    found.request.answer = "yes"
    found.request.save(update_fields=["answer"])
    return _commit(by, found, "supplement", reason.strip() or found.request.reason)


@transaction.atomic
def agree(
    *, by: Person, repair: RepairOrder, on: date | None = None, reason: str = "", read: str | None = None
) -> Approval:
    """The first of two yeses to a repair above what one person may approve, in dollars or as a share of what is free.

    Promises nothing by itself. It counts for exactly this estimate and this cause; a change to either lets it lapse.
    """
    found = open_sheet(by, repair, on, read=read)
    if found.request is None:
        check_step(repair.number, repair.state, State.APPROVED)
    if not found.takes_two:
        raise BadInput(f"{repair.number} is within what one person may approve. Approve it.")
    refuse_broken([check for check in found.checks if check.rule not in ("owner", "limit", "share", "money")])
    return write(by, found, "agreement", reason.strip(), None)


@transaction.atomic
def decline(
    *, by: Person, repair: RepairOrder, reason: str, on: date | None = None, read: str | None = None
) -> Approval:
    """Say no, with the reason the household is told. To a supplement it leaves the first approval standing."""
    found = open_sheet(by, repair, on, read=read)
    say_why(reason)
    _without_tie(found)
    if found.request is not None:
        found.request.answer = "no"
        found.request.save(update_fields=["answer"])
    else:
        check_step(repair.number, repair.state, State.DECLINED)
        # What the mechanic had taken before goes with the leave to spend it: a declined repair may be priced anew.
        lapse(by=by, cost_object=repair.number, reason=f"declined: {reason.strip()}", on=found.case.on)
        repair.state, repair.stop_reason, repair.stopped_on = State.DECLINED, reason.strip(), found.case.on
        repair.save()
    return write(by, found, "decline", reason.strip(), None)


@transaction.atomic
def put_off(
    *, by: Person, repair: RepairOrder, reason: str, on: date | None = None, read: str | None = None
) -> Approval:
    """Neither yes nor no yet. The repair keeps waiting, with the reason beside it."""
    found = open_sheet(by, repair, on, read=read)
    say_why(reason)
    _without_tie(found)
    if found.request is None:
        check_step(repair.number, repair.state, State.APPROVED)
    return write(by, found, "later", reason.strip(), None)


def open_sheet(
    by: Person,
    repair: RepairOrder,
    on: date | None = None,
    purpose: str = GENERAL,
    unreachable: str = "",
    read: str | None = None,
) -> Sheet:
    """What a decision of today rests on, with books and repair held.

    Refuses who may not approve, another day, and an estimate that is not the one that was ``read``.
    """
    require(by, "repair.approve")
    today = clock.today()
    if on is not None and on != today:
        raise BadInput(f"A decision carries the day it is made, {today}. It is never dated back or ahead.")
    hold(repair)
    found = sheet(repair, by, today, purpose, unreachable)
    refuse_unread(read, mark_of(found), CHANGED)
    return found


def _commit(by: Person, found: Sheet, kind: str, reason: str) -> Approval:
    """Promise the cost, less what the mechanic spent on consumables before; what of those is still open goes into it."""
    number, slack, spent = found.repair.number, found.tolerance, Money.zero
    if found.case.taken_in:
        open_still = lapse(by=by, cost_object=number, reason=f"Taken into the {kind}", on=found.case.on)
        spent = min(found.case.taken_in - open_still, found.sums.cost)
    if more := found.sums.cost - spent:
        promise(
            by=by,
            cost_object=number,
            amount=more,
            tolerance=slack,
            purpose=found.purpose,
            reason=reason or f"{kind} of {number}",
            on=found.case.on,
            until=found.until,
        )
    elif spent:
        slack = Money.zero  # all of it is spent; a tolerance needs something to buy
    return write(by, found, kind, reason, slack, until=found.until, taken_in=spent)


def write(
    by: Person,
    found: Sheet,
    kind: str,
    reason: str,
    slack: Money | None,
    amount: Money | None = None,
    until: date | None = None,
    taken_in: Money = Money.zero,
) -> Approval:
    """Keep a decision with every figure it used, and leave it in the trail."""
    number = found.repair.number
    after = position(found.case.on) if kind in MOVING else None
    approval = Approval.objects.create(
        repair=found.repair,
        kind=kind,
        approver=by,
        on=found.case.on,
        at=clock.now(),
        amount=found.sums.cost if amount is None else amount,
        tolerance=slack or Money.zero,
        taken_in=taken_in,
        until=until,
        purpose=found.purpose,
        reason=reason,
        complaint=found.repair.complaint,
        snapshot=freeze(found, after, reason),
    )
    text = f"{number}: {approval.get_kind_display()} {approval.amount.dollars}. {reason}".strip()
    record(
        by=by, action=f"approval.{kind}", subject=number, text=text, data={"amount": approval.amount.minor}
    )
    return approval


def say_why(reason: str) -> None:
    """Refuses an empty reason."""
    if not reason.strip():
        raise BadInput("Say why, in words the household may be told.")


def _without_tie(found: Sheet) -> None:
    if found.case.approver.tie:
        raise TwoPeopleNeeded(
            f"{found.case.approver.name} has a tie to the household. Someone without one decides."
        )
