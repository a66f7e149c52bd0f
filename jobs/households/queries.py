from functools import lru_cache

from django.conf import settings
from django.db.models import Count, OuterRef, QuerySet, Subquery

from jobs.households.models import Household
from jobs.households.rules import IncomeFacts, next_alias


@lru_cache(maxsize=1)
def alias_pool() -> tuple[str, ...]:
    """The names that households go by, in their order (fixtures/aliases.txt, one a line)."""
    text = (settings.BASE_DIR / "fixtures" / "aliases.txt").read_text(encoding="utf-8")
    return tuple(line.strip() for line in text.splitlines() if line.strip())


def free_alias() -> str:
    """The next alias to give. Call it inside the transaction that writes the household."""
    used = Household.objects.order_by().values_list("alias").annotate(times=Count("pk"))
    return next_alias(alias_pool(), dict(used))


def households() -> QuerySet[Household]:
    """All households, newest first, with ``size``, ``requests`` and the ``state`` of the latest request."""
    latest = Household.objects.filter(pk=OuterRef("pk")).order_by("-applications__pk")
    return Household.objects.annotate(
        size=Count("members", distinct=True),
        requests=Count("applications", distinct=True),
        state=Subquery(latest.values("applications__state")[:1]),
    )


def size_of(household: Household) -> int:
    return household.members.count()


def income_facts(household: Household) -> list[IncomeFacts]:
    """The incomes as plain values, by person."""
    return [
        income.facts for income in household.incomes.select_related("member").order_by("member__number", "pk")
    ]
