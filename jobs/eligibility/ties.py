"""Ties between the crew and households: a tie once named takes away every power over that household."""

from collections.abc import Iterable

from django.db.models import Exists

from fund.access.models import Person
from fund.access.powers import roles_with
from fund.refusal import NotAllowed, TwoPeopleNeeded
from jobs.approvals.models import ApprovalRelation
from jobs.households.models import Household
from jobs.intake.models import RelationAnswer
from jobs.repairs.models import RepairOrder


def has_tie(person: Person, household: Household) -> bool:
    """Whether this person ever named a tie to the household, on a request or on a repair, under any of its records."""
    records = _records(household)
    on_request = RelationAnswer.objects.filter(person=person, tie=True, application__household__in=records)
    on_repair = ApprovalRelation.objects.filter(person=person, tie=True, repair__household__in=records)
    named = Exists(on_request) | Exists(on_repair)
    return Household.objects.filter(named, pk=household.pk).exists()


def _records(household: Household) -> list[int]:
    """A merged record's requests and repairs went to the one it became; its people and incomes stayed behind."""
    return [key for key in (household.pk, household.merged_into_id) if key is not None]


def refuse_tie(by: Person, household: Household) -> None:
    """Whoever is tied shapes nothing that a decision on the household rests on."""
    if has_tie(by, household):
        raise TwoPeopleNeeded(
            f"You answered that you have a tie to household {household.alias}. Someone without a tie does this: "
            f"{others_for(household)}."
        )


def refuse_reading(by: Person, household: Household) -> None:
    """Whoever is tied reads neither papers nor incomes nor decisions of the household."""
    if has_tie(by, household):
        raise NotAllowed(
            f"You answered that you have a tie to household {household.alias}, so its income, papers and decisions are "
            f"closed to you. Ask someone without a tie: {others_for(household)}."
        )


def others_for(household: Household, besides: Iterable[int] = ()) -> str:
    """The names of those who may screen and named no tie to the household; ``besides`` are keys of people left out."""
    screens = Person.objects.filter(groups__name__in=roles_with("household.screen"), is_active=True)
    records = _records(household)
    on_request = RelationAnswer.objects.filter(application__household__in=records, tie=True).values("person")
    on_repair = ApprovalRelation.objects.filter(repair__household__in=records, tie=True).values("person")
    free = screens.exclude(pk__in=on_request).exclude(pk__in=on_repair).exclude(pk__in=list(besides))
    free = free.distinct().order_by("pk")
    return ", ".join(person.label for person in free) or "nobody of the crew yet; an owner adds a person"


def has_answered(person: Person, repair: RepairOrder) -> bool:
    """Whether this person answered the question for this repair, or for the request it came from."""
    if repair.relations.filter(person=person, tie__isnull=False).exists():
        return True
    return RelationAnswer.objects.filter(application=repair.application_id, person=person).exists()
