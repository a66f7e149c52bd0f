from django.db.models import Case, F, QuerySet, Sum, When

from fund.receipts.quantities import number_words
from jobs.repairs.models_logs import Converter, Waste
from jobs.repairs.rules_logs import WASTE


def converters() -> QuerySet[Converter]:
    """All converters, newest first, each with where it went; the list asks for nothing more."""
    return Converter.objects.select_related("repair", "by", "second", "end", "end__by", "end__second")


def waste() -> QuerySet[Waste]:
    """All rows of the waste log, newest first."""
    return Waste.objects.select_related("repair", "by")


def _left() -> Sum:
    return Sum(Case(When(direction="caught", then=F("quantity")), default=-F("quantity")))


def in_the_shop(kind: str) -> int:
    """What of a kind was caught and not taken away yet, in thousandths of its unit."""
    found: int | None = Waste.objects.filter(kind=kind).aggregate(left=_left())["left"]
    return found or 0


def standing_waste() -> list[tuple[str, str]]:
    """Kind and quantity in words of everything that stands in the shop. One query."""
    rows = Waste.objects.order_by("kind").values_list("kind").annotate(left=_left())
    return [(kind, f"{number_words(left)} {WASTE[kind]}") for kind, left in rows if left]
