from collections.abc import Iterator

from django.db.models import Sum

from fund.commitments.models import CommitmentMove


def commitment_breaks() -> Iterator[str]:
    """No commitment is below zero at any time, and none was made without money being set against it."""
    running: dict[tuple[str, str], int] = {}
    moves = CommitmentMove.objects.order_by("id").values_list("id", "cost_object_id", "purpose_id", "amount")
    for number, cost_object, purpose, amount in moves.iterator():
        now = running.get((cost_object, purpose), 0) + amount.minor
        running[cost_object, purpose] = now
        if now < 0:
            yield f"The commitment of {cost_object} falls below zero at move {number}."
    spent = CommitmentMove.objects.filter(kind="spend", entry__isnull=True).aggregate(sum=Sum("cost"))["sum"]
    if spent:
        yield f"{spent} was set against commitments without an entry in the ledger."
