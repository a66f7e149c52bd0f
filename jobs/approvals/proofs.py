"""The law of promises, proved again: what is committed to repairs is what was approved, and by someone else."""

from collections.abc import Iterator

from django.db.models import F, Q, Sum

from fund.commitments.models import CommitmentMove
from fund.money import Money
from jobs.approvals.models import Approval
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import PROMISED

GRANTING = ("approval", "supplement", "ratification", "consumables")


def promise_breaks() -> Iterator[str]:
    """Every promise to a repair has its approval over the same sum and tolerance, and the other way round."""
    granted = {
        number: (amount - taken_in, tolerance)
        for number, amount, taken_in, tolerance in Approval.objects.filter(kind__in=GRANTING)
        .order_by()
        .values_list("repair__number")
        .annotate(Sum("amount"), Sum("taken_in"), Sum("tolerance"))
    }
    promised = {
        number: (amount, tolerance)
        for number, amount, tolerance in CommitmentMove.objects.filter(
            kind="promise", cost_object__repair__isnull=False
        )
        .order_by()
        .values_list("cost_object_id")
        .annotate(Sum("amount"), Sum("tolerance"))
    }
    nothing = (Money.zero, Money.zero)
    for number in sorted({*granted, *promised}):
        said, done = granted.get(number, nothing), promised.get(number, nothing)
        if said != done:
            yield (
                f"{number}: {said[0]} was approved with a tolerance of {said[1]}, but {done[0]} was promised "
                f"with a tolerance of {done[1]}."
            )


def approver_breaks() -> Iterator[str]:
    """Work is under way only on what was approved, and nobody approved what they opened or do themselves."""
    under_way = RepairOrder.objects.filter(state__in=[state.value for state in PROMISED])
    for repair in under_way.exclude(approvals__kind="approval").order_by("number"):
        yield f"{repair.number} is {repair.state} without an approval."
    own = Q(approver=F("repair__opened_by")) | Q(approver=F("repair__mechanic"))
    by_another = Approval.objects.filter(own, kind__in=GRANTING).exclude(kind="consumables")
    for row in by_another.select_related("repair", "approver"):
        yield f"{row.repair.number}: {row.approver.label} said yes to a repair that they opened or do themselves."


def consumables_breaks() -> Iterator[str]:
    """What a mechanic took alone was never above the limit of its day, for one repair in all."""
    for row in Approval.objects.filter(kind="consumables").select_related("repair").order_by("pk"):
        limit = Money(row.snapshot["consumables_limit"])
        whole = Money(row.snapshot["approved_before"]) + row.amount
        if whole > limit:
            yield f"{row.repair.number}: {whole} of consumables was taken before a decision; {limit} was the most."


APPROVAL_PROOFS = (
    ("what is promised to repairs is what was approved", promise_breaks),
    ("who asked did not approve", approver_breaks),
    ("consumables before a decision stay within their limit", consumables_breaks),
)
