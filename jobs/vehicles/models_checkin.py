from django.conf import settings
from django.db import models

from fund.sealed_fields import SealedJSONField, SealedTextField
from jobs.vehicles.rules_checkin import CODES, FUEL

PERSON = settings.AUTH_USER_MODEL


class CheckIn(models.Model):
    """How a vehicle stood when it came in, signed by its owner. Append-only: nobody changes it afterwards.

    Mileage in miles. What the owner told of minutes and miles to the fault stands on the repair order, where the
    road test reads it.
    """

    repair = models.OneToOneField("jobs.RepairOrder", on_delete=models.PROTECT, related_name="check_in")
    on = models.DateField()
    at = models.DateTimeField()
    by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    mileage = models.PositiveIntegerField()
    fuel = models.CharField(max_length=16, choices=list(FUEL.items()), blank=True)
    lights = models.TextField("dash lights")
    codes_state = models.CharField(max_length=12, choices=list(CODES.items()), blank=True)
    codes = models.TextField(blank=True)
    freeze_frame = models.TextField(blank=True)
    zones = models.JSONField(default=list)
    damage = models.TextField(blank=True)
    earlier_work = models.TextField("what somebody before us did wrong", blank=True)
    keys = models.PositiveSmallIntegerField(null=True, blank=True)
    valuables_out = models.BooleanField(default=False)
    vin_compared = models.BooleanField(default=False)
    unsafe = models.JSONField(default=list)
    unsafe_words = models.TextField(blank=True)
    told = models.JSONField(default=dict)
    signed_by = SealedTextField("the owner's name as signed", blank=True)
    drawn = SealedJSONField("the owner's signature as drawn", null=True)
    photos = models.PositiveSmallIntegerField()

    def __str__(self) -> str:
        return f"{self.repair_id} checked in {self.on}"


class CheckInDraft(models.Model):
    """What was typed so far of a check-in that is not finished. Sealed; deleted when it is."""

    repair = models.OneToOneField("jobs.RepairOrder", on_delete=models.CASCADE, related_name="check_in_draft")
    typed = SealedJSONField()
    by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.repair_id} draft"


class VehiclePhoto(models.Model):
    """A photo of the vehicle: at check-in, or of work before and after.

    Its file is destroyed when it is taken out before the owner signs, or with the household's data; then ``gone_on``
    says when.
    """

    repair = models.ForeignKey("jobs.RepairOrder", on_delete=models.PROTECT, related_name="photos")
    attachment = models.OneToOneField("fund.Attachment", on_delete=models.PROTECT, related_name="+")
    at_check_in = models.BooleanField(default=True)
    words = models.CharField(max_length=120, blank=True)
    on = models.DateField()
    by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    gone_on = models.DateField(null=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.repair_id} {self.attachment_id}"
