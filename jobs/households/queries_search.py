"""Finding households by what they told, exactly and by index only: every search is one list of digests."""

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from fund.sealed import digests
from jobs.households.identity import (
    REASONS,
    Identity,
    Someone,
    marks,
    name_words,
    tidy_address,
    tidy_email,
    tidy_phone,
    tidy_plate,
    tidy_vin,
)
from jobs.households.models import Household
from jobs.households.models_search import DifferentHouseholds, SearchKey

_SHORTEST_PHONE = 7
_TIDY = {
    "email": tidy_email,
    "phone": tidy_phone,
    "plate": tidy_plate,
    "vin": tidy_vin,
    "address": tidy_address,
}


@dataclass(frozen=True)
class Alike:
    """A household that may be the same one, and why it is suspected (sentences of identity.REASONS)."""

    household: Household
    reasons: list[str]


def identity_of(household: Household) -> Identity:
    """All by which a household may be known again, as it is entered now and in records merged into it."""
    records = [household, *household.merged.order_by()]
    vehicles = list(household.vehicles.all())
    people = [
        Someone(name=row.name, birth_date=row.birth_date)
        for record in records
        for row in record.members.all()
    ]
    return Identity(
        people=(*(Someone(name=record.applicant_name) for record in records), *people),
        phones=tuple(record.phone for record in records),
        emails=tuple(record.email for record in records),
        addresses=tuple(record.address for record in records),
        plates=tuple(vehicle.plate for vehicle in vehicles),
        vins=tuple(vehicle.vin for vehicle in vehicles),
    )


def alike(household: Household) -> list[Alike]:
    """Households that look like this one and were not found to be different, by code. Constant queries."""
    return alike_to(identity_of(household), leave_out=[household.pk, *_different_from(household)])


def alike_to(identity: Identity, leave_out: Collection[int] = ()) -> list[Alike]:
    """Households that share a VIN, plate, phone, e-mail, address, or a birth date with a surname. Two queries.

    ``identity`` may be of a request that is not entered yet. Merged households count as the one they became.
    """
    wanted = {kind_value for kind_value in marks(identity) if kind_value[0] in REASONS}
    reasons: dict[int, set[str]] = {}
    for pk, kind in keys_found(wanted):
        reasons.setdefault(pk, set()).add(kind)
    rows = (
        Household.objects.filter(pk__in=reasons, merged_into=None).exclude(pk__in=leave_out).order_by("code")
    )
    return [Alike(row, [words for kind, words in REASONS.items() if kind in reasons[row.pk]]) for row in rows]


def keys_found(wanted: Collection[tuple[str, str]]) -> list[tuple[int, str]]:
    """Household and kind for each of these tidied values that is stored. One query, by the index on digests."""
    looked_for = [digest for kind, value in wanted for digest in digests(kind, value)]
    rows = SearchKey.objects.filter(digest__in=looked_for).values_list("household_id", "kind")
    return list(rows) if looked_for else []


def found_by_word(word: str, kinds: Collection[str]) -> list[int]:
    """Households that have this word as a value of one of the kinds (``name``: as part of a name). One query."""
    wanted = {(kind, _TIDY[kind](word)) for kind in kinds if kind != "name"}
    if "name" in kinds:
        wanted |= {("name", part) for part in name_words(word)}
    wanted = {(kind, value) for kind, value in wanted if value and (kind != "phone" or _long_enough(value))}
    return [pk for pk, _ in keys_found(wanted)]


def _long_enough(phone: str) -> bool:
    return sum(sign.isdecimal() for sign in phone) >= _SHORTEST_PHONE


def born_alike(identity: Identity) -> QuerySet[Household]:
    """Households with someone of the same birth date: few enough to compare their names one by one."""
    dates = {pair for pair in marks(identity) if pair[0] == "born"}
    return Household.objects.filter(pk__in=[pk for pk, _ in keys_found(dates)], merged_into=None)


def _different_from(household: Household) -> list[int]:
    pairs = DifferentHouseholds.objects.filter(Q(first=household) | Q(second=household))
    found = pairs.values_list("first_id", "second_id")
    return [first if second == household.pk else second for first, second in found]
