from datetime import date

from django.db import transaction

from fund import clock
from fund.access.models import Person
from fund.commitments.models import CommitmentMove, CostObjectEnd
from fund.commitments.queries import (
    allowance,
    allowance_open,
    free_for,
    open_by_purpose,
    position,
    promise_stands,
    released_by,
    spent_by,
)
from fund.commitments.rules import Overrun, restricted_back, share_spend
from fund.ledger.actions import post
from fund.ledger.chart import BANK, GENERAL, NET_FREE, NET_RESTRICTED
from fund.ledger.lock import hold_books
from fund.ledger.models import Entry
from fund.ledger.queries import balances
from fund.ledger.rules import EntryDraft, cr, dr, unspent
from fund.money import Money, total
from fund.refusal import BadInput, NotEnoughMoney, NotReady
from fund.trail.actions import record


@transaction.atomic
def promise(
    *,
    by: Person,
    cost_object: str,
    amount: Money,
    tolerance: Money,
    reason: str,
    purpose: str = GENERAL,
    on: date | None = None,
    until: date | None = None,
    spent_already: bool = False,
) -> list[CommitmentMove]:
    """Commit money to a cost object, in the same transaction that verifies it is there.

    A restricted purpose pays first, as far as it reaches; the rest is promised out of general money. Refuses, with every
    subtraction listed, an amount above what is free. ``until`` is the last day for the first purchase. ``spent_already``
    is for a ratification whose purchase is booked in the same transaction: a debt that exists is booked even when nothing
    is free. Called by the approval, which has verified the power to approve.
    """
    if amount <= Money.zero or tolerance < Money.zero:
        raise BadInput("A promise needs an amount above zero.")
    hold_books()
    parts: dict[str, Money] = {}
    if purpose != GENERAL:
        parts[purpose] = min(amount, max(free_for(purpose), Money.zero))
    parts[GENERAL] = amount - parts.get(purpose, Money.zero)
    if not spent_already:
        _refuse_beyond_free(cost_object, parts[GENERAL])
    day = on or clock.today()
    moves = [
        CommitmentMove.objects.create(
            cost_object_id=cost_object, purpose_id=code, kind="promise", amount=part, on=day, by=by, reason=reason,
            tolerance=tolerance if first else Money.zero, until=until,
        )
        for first, (code, part) in zip((True, False), ((c, p) for c, p in parts.items() if p), strict=False)
    ]  # fmt: skip
    text = f"{amount} promised to {cost_object}, tolerance {tolerance}."
    record(by=by, action="commitment.promise", subject=cost_object, text=text, data={"amount": amount.minor})
    return moves


def _refuse_beyond_free(cost_object: str, wanted: Money) -> None:
    now = position()
    if wanted <= now.free_to_commit:
        return
    details = [f"Bank {now.bank}"]
    details += [f"less {item.label.lower()} {item.amount}" for item in now.subtractions if item.amount]
    details.append(f"free to commit {now.free_to_commit}")
    raise NotEnoughMoney(
        f"{wanted} cannot be promised to {cost_object}: {max(now.free_to_commit, Money.zero)} is free to commit,"
        f" {wanted - max(now.free_to_commit, Money.zero)} short.",
        details,
    )


@transaction.atomic
def spend(*, by: Person, cost_object: str, amount: Money, entry: Entry, settled: bool = False) -> None:
    """Set a cost that ``entry`` booked on a cost object against its commitment, and release restricted money it used.

    Called by receipts and the shelf inside their transaction. Refuses a total above the approved sum and its tolerance,
    and a first purchase after the approval ran out. ``settled``: nobody buys anything, a store kept or refused what it
    owed; that is booked whatever was approved.
    """
    hold_books()
    if not settled:
        _refuse_beyond_approval(cost_object, amount, entry)
    taken = share_spend(amount, open_by_purpose(cost_object=cost_object))
    rest = amount
    moves = taken or {GENERAL: Money.zero}
    for index, (purpose, part) in enumerate(moves.items(), start=1):
        cost = rest if index == len(moves) else part
        rest -= cost
        CommitmentMove.objects.create(
            cost_object_id=cost_object, purpose_id=purpose, kind="spend", amount=-part, cost=cost,
            on=entry.posting_date, entry=entry, by=by, reason=entry.text,
        )  # fmt: skip
        if purpose != GENERAL:
            _release_restricted(by, purpose, part, entry, cost_object)


def _refuse_beyond_approval(cost_object: str, amount: Money, entry: Entry) -> None:
    now = allowance(cost_object)
    if now.ran_out(entry.document_date):
        raise NotReady(
            f"The approval of {cost_object} ran out on {now.until}, before anything was bought. Someone who approves renews it,"
            " or it is let go and priced again."
        )
    wanted = Overrun(cost_object, amount, now)
    if wanted.over > Money.zero or not now.promised:
        raise NotEnoughMoney(wanted.words)


def _release_restricted(by: Person, purpose: str, part: Money, entry: Entry, cost_object: str) -> None:
    """The restriction is met: its money moves to the general purpose that carried the cost (ASU 2016-14, release)."""
    amount = min(part, max(unspent(purpose, balances()), Money.zero))
    if not amount:
        return
    lines = [
        dr(NET_RESTRICTED, amount, purpose=purpose, cost_object=cost_object),
        cr(BANK, amount, purpose=purpose),
        dr(BANK, amount),
        cr(NET_FREE, amount, cost_object=cost_object),
    ]
    text = f"Release of “{purpose}” spent on {cost_object}"
    post(
        by=by,
        draft=EntryDraft(
            "release", entry.document_date, text, lines, f"entry {entry.number}", entry.posting_date
        ),
    )


@transaction.atomic
def give_back(
    *, by: Person, cost_object: str, amount: Money, entry: Entry, reason: str, of: Entry | None = None
) -> None:
    """A part went back: its cost leaves the cost object. While the promise stands, the money is promised to it again.

    ``of`` is the entry that booked the cost. What that entry took out of a restriction and no longer covers goes back to
    the restriction by an entry of its own, since restricted money paid first.
    """
    hold_books()
    stands = promise_stands(cost_object)
    returned: dict[str, Money] = {}
    if of is not None:
        for purpose, part in restricted_back(amount, *spent_by(of, cost_object)).items():
            returned[purpose] = _release_undone(by, purpose, part, of, entry, cost_object)
    room = allowance_open(cost_object, amount) if stands else Money.zero
    for purpose, part in {**returned, GENERAL: amount - total(returned.values())}.items():
        if not part and len(returned):
            continue
        promised = min(part, room)
        room -= promised
        CommitmentMove.objects.create(
            cost_object_id=cost_object, purpose_id=purpose, kind="give back", amount=promised, cost=-part,
            on=entry.posting_date, entry=entry, of=of, by=by, reason=reason,
        )  # fmt: skip


def _release_undone(
    by: Person, purpose: str, part: Money, of: Entry, entry: Entry, cost_object: str
) -> Money:
    """Move money back into a restriction, as far as ``of`` had released it; returns how much."""
    amount = min(part, released_by(of, purpose, cost_object))
    if not amount:
        return Money.zero
    lines = [
        dr(NET_FREE, amount, cost_object=cost_object),
        cr(BANK, amount),
        dr(BANK, amount, purpose=purpose),
        cr(NET_RESTRICTED, amount, purpose=purpose, cost_object=cost_object),
    ]
    text = f"Back to “{purpose}”: what it had paid for {cost_object} was returned"
    draft = EntryDraft("release", entry.document_date, text, lines, f"entry {of.number}", entry.posting_date)
    post(by=by, draft=draft)
    return amount


@transaction.atomic
def end_cost_object(*, by: Person, cost_object: str, reason: str, on: date | None = None) -> CostObjectEnd:
    """Say that the work on a cost object ended on a day: what is bought later is no longer for it without a reason.

    Called by the room that hands back or stops; saying it twice changes nothing.
    """
    return _mark(by, cost_object, True, reason, on)


@transaction.atomic
def begin_again(*, by: Person, cost_object: str, reason: str, on: date | None = None) -> CostObjectEnd:
    """Say that the work on an ended cost object goes on (a test that failed, a hand-back taken back)."""
    return _mark(by, cost_object, False, reason, on)


def _mark(by: Person, cost_object: str, ended: bool, reason: str, on: date | None) -> CostObjectEnd:
    hold_books()
    last = CostObjectEnd.objects.filter(cost_object=cost_object).last()
    if last is not None and last.ended == ended:
        return last
    row = CostObjectEnd.objects.create(
        cost_object_id=cost_object, ended=ended, on=on or clock.today(), reason=reason[:200], by=by
    )
    words = "ended" if ended else "goes on"
    record(by=by, action="commitment.end", subject=cost_object, text=f"{cost_object} {words}: {reason}")
    return row


@transaction.atomic
def release(*, by: Person, cost_object: str, reason: str, on: date | None = None) -> Money:
    """Let go of what is still promised to a cost object; returns the amount. Nothing open is no error.

    Where all was spent, a row of 0.00 still ends the promise: what comes back later is not promised anew.
    """
    hold_books()
    freed, stood = Money.zero, promise_stands(cost_object)
    for purpose, amount in open_by_purpose(cost_object=cost_object).items():
        if amount:
            CommitmentMove.objects.create(
                cost_object_id=cost_object, purpose_id=purpose, kind="release", amount=-amount, on=on or clock.today(),
                by=by, reason=reason,
            )  # fmt: skip
            freed += amount
    if stood and not freed:
        CommitmentMove.objects.create(
            cost_object_id=cost_object, purpose_id=GENERAL, kind="release", amount=Money.zero,
            on=on or clock.today(), by=by, reason=reason[:300],
        )  # fmt: skip
    if freed:
        text = f"{freed} no longer promised to {cost_object}: {reason}"
        record(
            by=by, action="commitment.release", subject=cost_object, text=text, data={"amount": freed.minor}
        )
    return freed
