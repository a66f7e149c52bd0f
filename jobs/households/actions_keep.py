"""Keeping no longer than the rules say: holds, and the destruction of what is due, with its log."""

from datetime import date
from typing import Any

from django.apps import apps
from django.db import models, transaction
from django.db.models import Q, Value

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput
from fund.sealed_fields import SealedTextField
from fund.trail.actions import record
from jobs.eligibility.models import EligibilityDecision
from jobs.eligibility.ties import refuse_tie
from jobs.handback.actions_forget import forget_sheets, forget_signed_papers
from jobs.households.actions_papers import delete_file
from jobs.households.models import Household, Income, Member, Sighting
from jobs.households.models_keep import Destruction, Hold
from jobs.households.models_papers import PaperCopy
from jobs.households.queries_keep import due_on, dues_of, standing_hold, whole
from jobs.households.rules_keep import COPY, INCOME
from jobs.intake.models import Application
from jobs.intake.models_same import Merging
from jobs.intake.rules import OPEN_STATES
from jobs.repairs.models import RepairOrder
from jobs.vehicles.actions_photos import forget_photos
from jobs.vehicles.models import Vehicle

NOTHING = Value("", output_field=models.TextField())  # in a sealed column: no token at all


@transaction.atomic
def set_hold(*, by: Person, household: Household, reason: str) -> Hold:
    """Stop all destruction of a household's data, that of merged records too. Refuses a second hold, and no reason."""
    require(by, "household.screen")
    refuse_tie(by, household)
    if not reason.strip():
        raise BadInput("Write why nothing of this household may be destroyed.")
    if standing_hold(household):
        raise AlreadyDone("A hold stands already. Nothing of this household is destroyed.")
    hold = Hold.objects.create(household=household, reason=reason.strip(), set_on=clock.today(), set_by=by)
    text = f"Hold on {household.code} ({household.alias}): nothing is destroyed."
    record(by=by, action="hold.set", subject=household.code, text=text)
    return hold


@transaction.atomic
def lift_hold(*, by: Person, household: Household) -> Hold:
    """From today the rules count again. An owner or treasurer lifts a hold (power ``repair.approve``)."""
    require(by, "repair.approve")
    refuse_tie(by, household)
    hold = standing_hold(household)
    if hold is None:
        raise AlreadyDone("No hold stands on this household.")
    hold.lifted_on, hold.lifted_by = clock.today(), by
    hold.save(update_fields=["lifted_on", "lifted_by"])
    text = f"Hold on {household.code} ({household.alias}) lifted."
    record(by=by, action="hold.lift", subject=household.code, text=text)
    return hold


def forget_households(*, by: Person | None, on: date | None = None) -> list[Destruction]:
    """Destroy what is due by a day, each household in a transaction of its own; returns the lines of the log.

    The books, repair orders, aliases and published months stay: they hold no name. A second run destroys nothing.
    ``by`` is None from the command line.
    """
    on = on or clock.today()
    if by is not None:
        require(by, "repair.approve")
    found = [household for household, _ in due_on(on)]
    return [line for household in found for line in _destroy(by, household, on)]


@transaction.atomic
def _destroy(by: Person | None, household: Household, on: date) -> list[Destruction]:
    """What is due of one household, asked anew under the lock: since the run began it may have asked again."""
    locked = whole(household).select_for_update()
    household = next(row for row in locked if row.pk == household.pk)
    dues = dues_of(household, on, on)
    lines = []
    for kept_class in dict.fromkeys(row.kept_class for row in dues):
        row = min((item for item in dues if item.kept_class == kept_class), key=lambda item: item.due_on)
        counts = _DO[kept_class](household, on) if kept_class in _DO else _forget(household, on)
        line = Destruction.objects.create(
            household=household,
            kept_class=kept_class,
            due_on=row.due_on,
            on=on,
            by=by,
            rule=row.rule,
            counts=counts,
        )
        text = f"{household.code} ({household.alias}): {kept_class} destroyed, due {row.due_on} ({row.rule})."
        record(by=by, action="household.forget", subject=household.code, text=text, data=counts)
        lines.append(line)
    return lines


def _delete_copies(household: Household, on: date) -> dict[str, int]:
    kept = PaperCopy.objects.filter(deleted_on=None, delete_on__lte=on)
    copies = kept.filter(sighting__household__in=whole(household))
    return {"copies": _files(copies, on)}


def _files(copies: models.QuerySet[PaperCopy], on: date) -> int:
    rows = list(copies)
    for copy in rows:
        delete_file(copy, on)
    return len(rows)


def _delete_incomes(household: Household, on: date) -> dict[str, int]:
    """Incomes and the copies of papers, in merged records too; the frozen worksheet stays for as long as the file."""
    records = list(whole(household))
    copies = PaperCopy.objects.filter(sighting__household__in=records, deleted_on=None)
    incomes = Income.objects.filter(household__in=records)
    counts = {"copies": _files(copies, on), "incomes": incomes.count()}
    incomes.delete()
    Household.objects.filter(pk__in=[row.pk for row in records]).update(no_income_words=NOTHING)
    return counts


_DO = {COPY: _delete_copies, INCOME: _delete_incomes}
_OWN = ("applicant_name", "phone", "email", "address", "no_income_words", "program", "district")


def _forget(household: Household, on: date) -> dict[str, int]:
    """Everything by which anyone could know who this was, in the record and those merged into it.

    The rows that stand behind the books stay; what people wrote in them is taken away, sealed or not.
    """
    records = list(whole(household))
    copies = PaperCopy.objects.filter(sighting__household__in=records, deleted_on=None)
    counts = {
        "copies": _files(copies, on),
        "photos of vehicles": forget_photos(records, on),
        "signed refusals": forget_signed_papers(records),
        "hand-back sheets": forget_sheets(records),
    }
    rows: list[tuple[type[models.Model], str]] = [
        (Income, "incomes"),
        (Member, "people"),
        (Sighting, "papers"),
    ]
    for kind, words in rows:
        gone = kind._default_manager.filter(household__in=records).delete()[1]
        counts[words] = gone.get(kind._meta.label, 0)
    for model in apps.get_app_config("jobs").get_models():
        if model not in (Household, Income, Member, Sighting) and (emptied := _emptied(model)):
            touched = _rows_of(model, records).update(**emptied)
            counts[str(model._meta.verbose_name_plural)] = touched
    Vehicle.objects.filter(household__in=records).update(make_model="")
    told = RepairOrder.objects.filter(household__in=records).exclude(complaint="")
    counts["complaints on repairs"] = told.update(
        complaint=""
    )  # cause, correction and cost stay: they are the crew's
    asked = Application.objects.filter(household__in=records)
    asked.update(referral="", vehicle_words="", best_time="", answers={})
    # One that nobody closed would stand on the lists for ever, with nothing left to decide on.
    asked.filter(state__in=OPEN_STATES).update(state="withdrawn", withdrawn_on=on)
    for row in records:
        row.search_keys.all().delete()
        for name in _OWN:
            setattr(row, name, "")
        row.forgotten_on = on
        row.save()
    return {words: count for words, count in counts.items() if count}


def _emptied(model: type[models.Model]) -> dict[str, Any]:
    """The sealed columns of a model as nothing; of a request every column in which somebody wrote freely."""
    free: type[models.Field[Any, Any]] = models.TextField if model is Application else SealedTextField
    columns = [field for field in model._meta.concrete_fields if isinstance(field, free)]
    return {field.name: None if field.null else NOTHING for field in columns}


def _rows_of(model: type[models.Model], records: list[Household]) -> models.QuerySet[Any]:
    """The rows of a model that belong to these households, by way of whatever they hang on."""
    ways = Q(pk__in=[])
    for field in model._meta.concrete_fields:
        path = _PATHS.get(field.related_model) if field.is_relation else None
        if path is not None:
            ways |= Q(**{f"{field.name}__{path}in": records})
    return model._default_manager.filter(ways)


_PATHS: dict[Any, str] = {
    Household: "",
    Application: "household__",
    RepairOrder: "household__",
    EligibilityDecision: "application__household__",
    Merging: "kept__",
}
