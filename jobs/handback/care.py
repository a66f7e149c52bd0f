"""Which cautions a household takes home: those of the typical job, else those that fit the words of the work."""

from jobs.handback.cautions import CALL_US, RETORQUE, care_notes, wheels_in
from jobs.handback.models import RoadTest
from jobs.repairs.models import RepairOrder

MONITORS = (
    "The monitors were not all ready after the codes were cleared: an emissions inspection may not pass until they have "
    "run through several days of mixed driving."
)


def wheels_were_off(repair: RepairOrder, test: RoadTest | None) -> bool:
    """By the torque on the road test, or by the words of the work."""
    return bool(test and test.wheel_torque_lbft) or wheels_in(f"{repair.job_type} {repair.correction}")


def care_of(repair: RepairOrder, test: RoadTest | None) -> list[str]:
    """Sentences for the sheet, the wheels first and what everyone is told last."""
    job = repair.typical_job
    notes = list(job.care) if job else []
    if not notes:
        notes = care_notes(f"{repair.job_type} {repair.correction}")[:-1]
    if wheels_were_off(repair, test) and not any("torqued again" in note for note in notes):
        notes.insert(0, RETORQUE)
    if test and test.readiness == "not ready":
        notes.append(MONITORS)
    return [*notes, CALL_US]
