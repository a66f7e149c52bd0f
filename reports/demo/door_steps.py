"""Steps of the story at the door of the shop: the vehicle comes in, its owner agrees to the work."""

from datetime import date

from django.core.files import File

from fund.access.models import Person
from jobs.estimates.actions_owner import owner_agrees as agree
from jobs.estimates.actions_types import choose_job_type
from jobs.estimates.models_types import JobType
from jobs.vehicles.actions_checkin import finish_check_in
from jobs.vehicles.actions_desk import look_up_recalls
from jobs.vehicles.rules_checkin import CheckInFacts
from reports.demo.cast import Cast, Step
from reports.demo.scribble import scribble

WORDS = ("fuel", "lights", "codes_state", "codes", "freeze_frame", "damage", "earlier_work", "unsafe_words")


def check_in(cast: Cast, by: Person, step: Step, on: date) -> None:
    order = cast.repair(step["alias"])
    choose_job_type(by=by, repair=order, job_type=JobType.objects.get(code=step["type"]))
    facts = CheckInFacts(
        mileage=order.mileage_in,
        no_lights=not step["lights"],
        zones=tuple(step.get("zones", ())),
        unsafe=tuple(step.get("unsafe", ())),
        keys=step["keys"],
        valuables_out=True,
        vin_compared=True,
        intermittent=order.intermittent,
        drawn=scribble(order.household.applicant_name),
        **{name: step.get(name, "") for name in WORDS},
    )
    files = [(cast.folder / "vehicles" / f"{view}.jpg").open("rb") for view in step["photos"]]
    photos = [File(file, name=f"{view}.jpg") for file, view in zip(files, step["photos"], strict=True)]
    finish_check_in(by=by, repair=order, facts=facts, photos=photos, on=on)
    for file in files:
        file.close()
    look_up_recalls(by=by, repair=order, found="none", where="the safety agency's recall page", on=on)


def owner_agrees(cast: Cast, by: Person, step: Step, on: date) -> None:
    order = cast.repair(step["alias"])
    agree(by=by, repair=order, name=order.household.applicant_name, how="in person")
