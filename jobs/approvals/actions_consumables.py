"""The mechanic's own yes to fluids and small supplies, so that looking for the fault can begin before the decision."""

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.commitments.actions import promise
from fund.money import Money
from fund.refusal import BadInput
from jobs.approvals.actions import write
from jobs.approvals.models import Approval
from jobs.approvals.queries_consumables import consumables_sheet
from jobs.approvals.rules import refuse_broken
from jobs.estimates.actions import refuse_recall
from jobs.repairs.lock import hold
from jobs.repairs.models import RepairOrder


@transaction.atomic
def take_consumables(*, by: Person, repair: RepairOrder, amount: Money, words: str) -> Approval:
    """Promise fluids and small supplies to one's own repair before it is decided on, and freeze every figure used.

    Refuses, with the figures: whoever does not do the work, a repair that is decided on, a comeback or under an open recall,
    one not checked in, a household not eligible, a tie or no answer about one, more than the fund's limit for one repair in
    all or its share of free money, and more than is free. No tolerance goes with it. The approval of the estimate takes it
    in; ``gate.refuse_more_than_consumables`` sees to it that no part is bought for it.
    """
    require(by, "repair.write")
    words = " ".join(words.split())
    if amount <= Money.zero:
        raise BadInput("Write how much you need, tax included.")
    if not words:
        raise BadInput("Say what it is for, such as “brake cleaner and penetrating oil”.")
    hold(repair)
    refuse_recall(repair)
    today = clock.today()
    found = consumables_sheet(repair, by, today, amount, words[:120])
    refuse_broken([check for check in found.checks if check.rule != "money"])
    reason = f"Consumables before the decision: {words}"[:300]
    promise(by=by, cost_object=repair.number, amount=amount, tolerance=Money.zero, reason=reason, on=today)
    return write(by, found, "consumables", words, None)
