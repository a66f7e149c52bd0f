"""What the pages on exceptions, copies, holds, letters, files and destruction show."""

from datetime import date, timedelta

from django.core.files.uploadedfile import SimpleUploadedFile

from fund import clock
from fund.ledger.actions import add_cost_object
from fund.numbers import next_code
from jobs.approvals.actions_relations import answer_relation
from jobs.eligibility.actions_second import tie_then_ask
from jobs.eligibility.models_second import RuleException
from jobs.households.actions_keep import forget_households, set_hold
from jobs.households.actions_papers import keep_copy
from jobs.households.models import Household, Sighting
from jobs.households.models_papers import PaperCopy
from jobs.intake.models import Application
from jobs.repairs.models import RepairOrder
from jobs.vehicles.actions import add_vehicle
from jobs.vehicles.rules import Standing
from tests.fund.attachments.makers import photo
from tests.jobs.workshop import asked
from tests.reports.month.march import Crew


def live_households(crew: Crew, on: date) -> None:
    """An exception that waits, a copy, a hold, a copy that was destroyed, a tie."""
    by = crew.screener
    application = asked(by, "Somebody with a new registration")
    add_vehicle(
        by=by,
        household=application.household,
        year=2012,
        vehicle_class="sedan",
        standing=Standing(registered_on=on),
    )
    tie_then_ask(
        by=by, application=application, tie=False, rule="registration", reason="A gift from a neighbor"
    )
    paper = Sighting.objects.earliest("pk")
    keep_copy(by=by, sighting=paper, upload=SimpleUploadedFile("stub.jpg", photo()))
    set_hold(by=by, household=paper.household, reason="The insurer asks")
    answer_relation(by=crew.treasurer, repair=RepairOrder.objects.latest("pk"), tie=True, words="A neighbor")
    _destroyed(crew, on)


def _destroyed(crew: Crew, on: date) -> None:
    paper = Sighting.objects.latest("pk")
    keep_copy(by=crew.screener, sighting=paper, upload=SimpleUploadedFile("old.jpg", photo()), delete_on=on)
    forget_households(by=None, on=on)


def household_samples() -> dict[str, dict[str, object]]:
    """What stands in the path of these pages."""
    exception = RuleException.objects.earliest("pk")
    return {
        "households:unhold": {
            "code": Household.objects.filter(holds__lifted_on=None, holds__isnull=False)[0].code
        },
        "households:copy": {"pk": PaperCopy.objects.filter(deleted_on=None).earliest("pk").pk},
        "households:consent": {"code": Application.objects.latest("pk").code},
        "eligibility:exception": {"pk": exception.pk},
        "eligibility:exception-ask": {"code": exception.application.code},
        "eligibility:file": {"number": RepairOrder.objects.filter(state="handed back").latest("pk").number},
    }


def grow_households(crew: Crew, at: int, order: RepairOrder) -> None:
    """One more repair that was handed back to a household with a tie, and one more line of the destruction log."""
    today = clock.today()
    number = next_code(RepairOrder, "number", "RO-")
    kept = {
        field.name: getattr(order, field.name)
        for field in RepairOrder._meta.concrete_fields
        if not field.primary_key and field.name not in ("number", "cost_object", "state")
    }
    days = {"approved_on": today - timedelta(days=1), "handed_back_on": today, "state": "handed back"}
    label = f"{order.alias}, {order.vehicle_class}"
    made = RepairOrder.objects.create(
        **kept
        | days
        | {"number": number, "cost_object": add_cost_object(by=crew.owner, code=number, label=label)}
    )
    answer_relation(by=crew.volunteer2, repair=made, tie=True, words=f"Tie {at}")
    _destroyed(crew, today)
