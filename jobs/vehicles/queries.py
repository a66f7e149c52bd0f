from django.db.models import QuerySet

from jobs.vehicles.models import Vehicle


def vehicles() -> QuerySet[Vehicle]:
    """All vehicles with the alias of their household; the list page asks for nothing more."""
    return Vehicle.objects.select_related("household").order_by("-pk")
