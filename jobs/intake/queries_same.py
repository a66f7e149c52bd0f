"""Which households may be one: what is exactly the same, by digests, and names that are much alike, on few candidates."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from django.db.models import Q, QuerySet
from rapidfuzz.fuzz import token_set_ratio, token_sort_ratio

from fund.trail.models import TrailLine
from jobs.households.identity import Identity, Someone, name_words
from jobs.households.models import Household
from jobs.households.models_search import DifferentHouseholds
from jobs.households.queries_search import alike_to, born_alike, identity_of
from jobs.intake.models_same import Merging

# Of 100. Letters swapped, left out or spelled otherwise stay above it; two names that share nothing but a word fall
# below. Common practice, tried on the pairs of the tests.
MUCH_ALIKE = 82
SAME_BIRTH = "someone born on the same day with a name much alike"


@dataclass
class Suspect:
    """A household that may be the same one, and why."""

    household: Household
    reasons: list[str] = field(default_factory=list)

    @property
    def why(self) -> str:
        return "; ".join(self.reasons)


def suspects(household: Household) -> list[Suspect]:
    """Households that look like this one and were not found to be different, by code. A constant number of queries."""
    return suspects_of(identity_of(household), leave_out=[household.pk, *told_apart(household)])


def suspects_of(identity: Identity, leave_out: Iterable[int] = ()) -> list[Suspect]:
    """The same for someone who is not entered yet."""
    out = set(leave_out)
    found = {row.household.pk: Suspect(row.household, list(row.reasons)) for row in alike_to(identity, out)}
    for candidate in born_alike(identity).exclude(pk__in=out).prefetch_related("members"):
        if names_alike(identity.people, people_of(candidate)):
            row = found.setdefault(candidate.pk, Suspect(candidate))
            if not any(reason.startswith("someone with the same birth date") for reason in row.reasons):
                row.reasons.append(SAME_BIRTH)
    return sorted(found.values(), key=lambda row: row.household.code)


def people_of(household: Household) -> list[Someone]:
    return [Someone(name=row.name, birth_date=row.birth_date) for row in household.members.all()]


def names_alike(some: Iterable[Someone], others: Iterable[Someone]) -> bool:
    """Whether two people born on the same day have names much alike, one in each list."""
    others = list(others)
    return any(
        alike_names(one.name, other.name)
        for one in some
        for other in others
        if one.birth_date and one.birth_date == other.birth_date
    )


def alike_names(one: str, other: str) -> bool:
    """Much alike whatever the order of the words; a second surname left out counts as alike, a first name alone not."""
    first, second = name_words(one), name_words(other)
    if min(len(first), len(second)) < 2:
        return False
    left, right = " ".join(first), " ".join(second)
    shared = token_set_ratio(left, right) if len(set(first) & set(second)) >= 2 else 0
    return max(token_sort_ratio(left, right), shared) >= MUCH_ALIKE


def told_apart(household: Household) -> list[int]:
    """Households that somebody looked at and found to be different from this one."""
    pairs = DifferentHouseholds.objects.filter(Q(first=household) | Q(second=household))
    found = pairs.values_list("first_id", "second_id")
    return [first if second == household.pk else second for first, second in found]


def mergings_of(household: Household) -> QuerySet[Merging]:
    """The records that were merged into a household and not parted again."""
    return Merging.objects.filter(kept=household, taken_back=None).select_related("other", "by")


def unread_mergings(household: Household) -> list[Merging]:
    """Those after which nobody saved the people and the incomes of the household, changed or not.

    What was told on the other record stayed there, so the arithmetic knows nothing of it until somebody looked.
    """
    rows = list(mergings_of(household))
    if not rows:
        return []
    lines = TrailLine.objects.filter(subject=household.code, action__in=(_MERGED, *_LOOKED_AT)).order_by("pk")
    last = dict.fromkeys(_LOOKED_AT, 0)
    merged = {}
    for line in lines:
        if line.action == _MERGED:
            merged[line.data.get("merged")] = line.pk
        else:
            last[line.action] = line.pk
    return [row for row in rows if merged.get(row.other.code, 0) > min(last.values())]


_MERGED, _LOOKED_AT = "household.merge", ("household.members", "household.incomes")
