from django.http import Http404

from jobs.repairs.models import RepairOrder


def repair_or_404(number: str) -> RepairOrder:
    """A repair order with everything around it, in one query."""
    around = (
        "vehicle",
        "household",
        "application",
        "mechanic",
        "opened_by",
        "estimate_by",
        "cost_object",
        "typical_job",
    )
    repair = RepairOrder.objects.select_related(*around).filter(number=number).first()
    if repair is None:
        raise Http404
    return repair
