"""A promise that nobody uses: given more time, or let go together with the leave to spend it."""

from datetime import date

from django.db import transaction

from fund import clock
from fund.access.models import Person
from fund.commitments.models import CommitmentMove
from fund.commitments.queries import allowance, open_by_purpose, promise_stands
from fund.ledger.chart import GENERAL
from fund.ledger.lock import hold_books
from fund.money import Money
from fund.trail.actions import record


@transaction.atomic
def lapse(*, by: Person, cost_object: str, reason: str, on: date | None = None) -> Money:
    """Let go of what is still promised to a cost object, and with it the leave to spend it and its tolerance.

    What was bought before stays approved. Returns the amount; nothing open is no error, and a row of 0.00 still ends the
    promise. Called by the room that
    approves, which has verified the power.
    """
    hold_books()
    slack, stood = allowance(cost_object).tolerance, promise_stands(cost_object)
    freed = Money.zero
    for purpose, amount in open_by_purpose(cost_object=cost_object).items():
        if amount:
            CommitmentMove.objects.create(
                cost_object_id=cost_object, purpose_id=purpose, kind="lapse", amount=-amount, tolerance=-slack,
                on=on or clock.today(), by=by, reason=reason[:300],
            )  # fmt: skip
            freed, slack = freed + amount, Money.zero
    if stood and not freed:
        CommitmentMove.objects.create(
            cost_object_id=cost_object, purpose_id=GENERAL, kind="lapse", amount=Money.zero, tolerance=-slack,
            on=on or clock.today(), by=by, reason=reason[:300],
        )  # fmt: skip
    if freed:
        text = f"{freed} promised to {cost_object} let go: {reason}"
        record(by=by, action="commitment.lapse", subject=cost_object, text=text, data={"amount": freed.minor})
    return freed


@transaction.atomic
def extend(
    *, by: Person, cost_object: str, until: date, reason: str, on: date | None = None
) -> CommitmentMove:
    """Give a promise until a later day for its first purchase. The money promised stays as it is."""
    hold_books()
    move = CommitmentMove.objects.create(
        cost_object_id=cost_object, purpose_id=GENERAL, kind="extend", amount=Money.zero, until=until,
        on=on or clock.today(), by=by, reason=reason[:300],
    )  # fmt: skip
    text = f"{cost_object} may be bought for until {until}: {reason}"
    record(by=by, action="commitment.extend", subject=cost_object, text=text)
    return move
