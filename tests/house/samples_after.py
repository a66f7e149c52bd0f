"""Samples of the proof of a repair and of what comes after its hand-back."""

from django.core.files.uploadedfile import SimpleUploadedFile

from fund.access.models import Person
from jobs.handback.actions_comeback import open_comeback
from jobs.handback.actions_refusal import refuse_unsafe
from jobs.handback.models import HandBack
from jobs.handback.models_proof import Comeback, Reminder, UnsafeRefusal
from jobs.hours.actions_pay import refuse_pay
from jobs.repairs.models import RepairOrder
from jobs.signing.rules import Signature
from tests.fund.attachments.makers import photo
from tests.reports.month.march import WORK_DAY, Crew


def live_after(crew: Crew, waiting: RepairOrder) -> None:
    """A comeback nobody judged yet, something unsafe that was refused, a volunteer who is not paid."""
    original = RepairOrder.objects.filter(state="handed back").latest("pk")
    open_comeback(by=crew.volunteer, original=original, complaint="Slides again")
    paper = SimpleUploadedFile("signed.jpg", photo())
    refuse_unsafe(by=crew.volunteer, repair=waiting, text="Ball joint, 6 mm", paper=paper)
    signed = Signature(name="Owner of the tests", ticked=True)
    refuse_unsafe(by=crew.volunteer, repair=waiting, text="Hose leaks", part="fuel", signature=signed)
    refuse_pay(by=crew.owner, person=crew.volunteer2, reason="No money for labor")


def grow_after(crew: Crew, at: int, order: RepairOrder) -> None:
    """Rows of the two lists, written straight: a whole hand-back for each would take minutes."""
    first = RepairOrder.objects.filter(state="handed back").earliest("pk")
    Reminder.objects.create(repair=order, due=WORK_DAY, text=f"Call number {at}")
    Comeback.objects.create(
        repair=order, original=first, same=True, told_on=WORK_DAY, opened_by=crew.volunteer
    )
    helper = Person.objects.get(username=f"helper{at}")
    refuse_pay(by=crew.owner, person=helper, reason="No money for labor")


def after_samples() -> dict[str, dict[str, object]]:
    given = HandBack.objects.latest("pk")
    number = given.repair.number
    refusal, comeback = UnsafeRefusal.objects.earliest("pk"), Comeback.objects.earliest("pk")
    refused = {"number": refusal.repair.number, "pk": refusal.pk}
    again: dict[str, object] = {"number": comeback.repair.number}
    return {
        "handback": {"number": number, "pk": given.road_test_id},
        "handback:one-check-list": {"number": number, "pk": given.check_list_id},
        "handback:reminder": {"pk": Reminder.objects.earliest("pk").pk},
        "handback:agreed": dict(refused),
        "handback:refusal-pdf": {
            "number": refusal.repair.number,
            "pk": UnsafeRefusal.objects.exclude(told=None).earliest("pk").pk,
        },
        "handback:untested": dict(refused),
        "handback:one-comeback": again,
        "handback:fault": again,
        "handback:begin": again,
    }
