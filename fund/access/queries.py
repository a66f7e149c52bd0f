from django.db.models import QuerySet

from fund.access.models import Person


def crew() -> QuerySet[Person]:
    """Everyone who can or could sign in, with their roles at hand, those still active first."""
    return Person.objects.prefetch_related("groups").order_by("-is_active", "first_name", "last_name", "pk")
