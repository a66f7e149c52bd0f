"""The shop floor's part of one of everything: a converter, waste, a typical job, a vehicle nobody fetches."""

from datetime import date, timedelta

from jobs.estimates.actions_types import save_job_type
from jobs.repairs.actions_logs import log_converter, log_waste
from jobs.repairs.actions_steps import mark_tested
from jobs.repairs.models import RepairOrder
from jobs.repairs.models_logs import Converter
from jobs.repairs.rules import State
from jobs.vehicles.actions_desk import look_up_recalls
from jobs.vehicles.models_checkin import VehiclePhoto
from tests.reports.month.march import Crew

AFTER = date(2026, 4, 1)


def live_door(crew: Crew) -> None:
    order = RepairOrder.objects.filter(state=State.HANDED_BACK).earliest("pk")
    log_converter(by=crew.volunteer, second=crew.volunteer2, repair=order, marking="CC-1", on=AFTER)


def grow_door(crew: Crew, at: int, order: RepairOrder) -> None:
    """A vehicle that is in the bay is tested long ago here, and stands."""
    hand = crew.volunteer
    order.refresh_from_db()
    look_up_recalls(by=hand, repair=order, found="none", where="the agency", on=AFTER)
    log_waste(by=hand, direction="caught", kind="used oil", quantity=4_500, repair=order, on=AFTER)
    save_job_type(by=hand, name=f"Job {at}", verify=["It works"])
    if order.state == State.IN_WORK:
        log_converter(by=hand, second=crew.volunteer2, repair=order, marking=f"CC-{at}", on=AFTER)
        mark_tested(by=hand, repair=order, on=AFTER - timedelta(days=40))


def door_samples(waiting: str) -> dict[str, dict[str, object]]:
    return {
        "checkin": {"number": waiting},
        "checkin:take-out": _photo_of(waiting),
        "logs": {"pk": Converter.objects.earliest("pk").pk},
        "jobtypes": {"number": waiting, "code": "front-brakes"},
    }


def _photo_of(waiting: str) -> dict[str, object]:
    return {
        "number": waiting,
        "pk": VehiclePhoto.objects.filter(repair__number=waiting).earliest("pk").pk,
    }
