"""What somebody means to give. Never booked, never in what may be promised: only the outlook shows it."""

from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.models import Pledge, Supporter
from fund.money import Money
from fund.numbers import next_code
from fund.refusal import AlreadyDone, BadInput
from fund.trail.actions import record


@transaction.atomic
def record_pledge(
    *, by: Person, supporter: Supporter, amount: Money, due_on: date, monthly: bool = False, words: str = ""
) -> Pledge:
    """Write down what a supporter means to give, once on a day or monthly from then on. Nothing is booked."""
    require(by, "gift.record")
    if amount.minor <= 0:
        raise BadInput("Write an amount above zero.")
    code = next_code(Pledge, "code", "P-")
    pledge = Pledge.objects.create(
        code=code,
        supporter=supporter,
        amount=amount,
        due_on=due_on,
        monthly=monthly,
        words=words.strip(),
        by=by,
    )
    often = "monthly from" if monthly else "on"
    text = f"{code}: {supporter.code} means to give {amount.dollars} {often} {due_on}."
    record(by=by, action="pledge.record", subject=code, text=text)
    return pledge


@transaction.atomic
def end_pledge(*, by: Person, pledge: Pledge, why: str) -> Pledge:
    """A pledge was kept (its gift is booked by itself) or withdrawn. Refuses an ended one and no reason."""
    require(by, "gift.record")
    pledge = Pledge.objects.select_for_update().get(pk=pledge.pk)
    if pledge.ended_on:
        raise AlreadyDone(f"{pledge.code} ended on {pledge.ended_on}.")
    if not why.strip():
        raise BadInput("Say whether it was kept or withdrawn.")
    pledge.ended_on, pledge.ended_why = clock.today(), why.strip()
    pledge.save(update_fields=["ended_on", "ended_why"])
    record(by=by, action="pledge.end", subject=pledge.code, text=f"{pledge.code} ended. {why.strip()}")
    return pledge
