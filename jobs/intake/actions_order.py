from collections.abc import Sequence
from dataclasses import asdict
from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput, NotReady, TwoPeopleNeeded
from fund.trail.actions import record
from jobs.intake.models import Application
from jobs.intake.models_order import OutOfTurn
from jobs.intake.queries import tied
from jobs.intake.queries_order import weights_on
from jobs.intake.rules_order import Weights, explained, in_order, parts, points


@transaction.atomic
def take_out_of_turn(
    *,
    by: Person,
    application: Application,
    ready: Sequence[Application],
    reason: str,
    on: date | None = None,
) -> OutOfTurn:
    """``application`` is taken before others that come first in the stated order; the order of the day is frozen.

    ``ready`` are the requests that could be taken on the day, in any order, this one among them. Refuses an empty
    reason, one whose turn it is, a second time, and whoever has a tie to the household.
    """
    require(by, "intake.enter")
    on = on or clock.today()
    if not reason.strip():
        raise BadInput("Write why this household is taken before those who come first.")
    if tied(by, application.household):
        raise TwoPeopleNeeded(
            f"You answered that you have a tie to household {application.household.alias}. "
            "Someone without a tie takes a household out of turn."
        )
    if OutOfTurn.objects.filter(application=application).exists():
        raise AlreadyDone(f"{application.code} was taken out of turn before; the reason stands.")
    weights = weights_on(on)
    order = [row.code for row in in_order([row.waiting for row in ready], weights, on)]
    if application.code not in order:
        raise NotReady(
            f"{application.code} cannot be taken yet: it needs an eligible decision that is in date."
        )
    place = order.index(application.code) + 1
    if place == 1:
        raise NotReady(f"It is the turn of {application.code}. No reason is needed.")
    row = OutOfTurn.objects.create(
        application=application,
        place=place,
        reason=reason.strip(),
        order=_frozen(ready, order, weights, on),
        on=on,
        by=by,
    )
    text = f"{application.code} of household {application.household.alias} taken out of turn, from place {place}."
    record(by=by, action="order.out_of_turn", subject=application.code, text=text, data={"place": place})
    return row


def _frozen(
    ready: Sequence[Application], order: Sequence[str], weights: Weights, on: date
) -> dict[str, object]:
    rows = {row.code: row.waiting for row in ready}
    return {
        "weights": asdict(weights),
        "rows": [
            {
                "code": code,
                "points": points(rows[code], weights, on),
                "why": explained(parts(rows[code], weights, on)),
            }
            for code in order
        ],
    }
