from django.conf import settings
from django.db import models
from django.db.models import F, Q

from fund.sealed_fields import SealedJSONField, SealedTextField
from jobs.handback.rules import Result

ROUTES = [
    ("town", "Town streets"),
    ("highway", "Highway"),
    ("mixed", "Town and highway"),
    ("yard", "Yard only, not on the road"),
]
READINESS = [
    ("not read", "Not read"),
    ("ready", "All monitors ready"),
    ("not ready", "Not all monitors ready yet"),
]
RESULTS = [(result.value, result.value.capitalize()) for result in Result]


class RoadTest(models.Model):
    """One drive after the work. Append-only: a second drive is a second record.

    Odometer in whole miles, temperatures in degrees Fahrenheit, torque in pound-feet. The owner's figures and
    the fund's factor (in tenths) are copies of what held at the time. The passenger, mostly the owner, is sealed and
    forgotten with the household's file.
    """

    repair = models.ForeignKey("jobs.RepairOrder", on_delete=models.PROTECT, related_name="road_tests")
    on = models.DateField()
    driver = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    passenger = SealedTextField(blank=True)
    odometer_out = models.PositiveIntegerField()
    odometer_in = models.PositiveIntegerField()
    minutes = models.PositiveIntegerField()
    route = models.CharField(max_length=10, choices=ROUTES)
    ambient_f = models.SmallIntegerField(null=True)
    in_traffic = models.BooleanField(default=False)
    on_hill = models.BooleanField(default=False)
    on_highway = models.BooleanField(default=False)
    intermittent = models.BooleanField()
    owner_minutes = models.PositiveIntegerField(null=True)
    owner_miles = models.PositiveIntegerField(null=True)
    factor_tenths = models.PositiveSmallIntegerField()
    complaint_returned = models.BooleanField()
    noises = models.CharField(max_length=200, blank=True)
    pull = models.CharField(max_length=200, blank=True)
    brake = models.CharField(max_length=200, blank=True)
    lights_after = models.CharField(max_length=200, blank=True)
    codes_before = models.CharField(max_length=200, blank=True)
    codes_cleared = models.CharField(max_length=200, blank=True)
    codes_pending = models.CharField(max_length=200, blank=True)
    readiness = models.CharField(max_length=10, choices=READINESS, default="not read")
    monitors = models.CharField(max_length=200, blank=True)
    leaks = models.CharField(max_length=200, blank=True)
    wheel_torque_lbft = models.PositiveSmallIntegerField(null=True)
    wheel_torque_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    brake_pedal_right = models.BooleanField()
    fluids_right = models.BooleanField()
    tires_right = models.BooleanField()
    lights_work = models.BooleanField()
    wheel_nuts_torqued = models.BooleanField()
    stops_straight = models.BooleanField()
    steering_right = models.BooleanField()
    no_leaks = models.BooleanField()
    result = models.CharField(max_length=20, choices=RESULTS)
    note = models.TextField(blank=True)
    signed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    signed_at = models.DateTimeField()
    same_person_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(odometer_in__gte=F("odometer_out")), name="jobs_roadtest_odometer"
            ),
            models.CheckConstraint(
                condition=Q(result=Result.FAIL.value)
                | Q(
                    odometer_in__gt=F("odometer_out"),
                    minutes__gt=0,
                    complaint_returned=False,
                    brake_pedal_right=True,
                    fluids_right=True,
                    tires_right=True,
                    lights_work=True,
                    wheel_nuts_torqued=True,
                    stops_straight=True,
                    steering_right=True,
                    no_leaks=True,
                ),
                name="jobs_roadtest_every_safety_line",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.repair_id} {self.on} {self.result}"

    @property
    def miles(self) -> int:
        return self.odometer_in - self.odometer_out


class HandBack(models.Model):
    """Keys returned. Append-only, with the sheet as it was given and every figure it was made from.

    Without a road test only where the owner refused what makes the vehicle safe, and signed it. ``drawn`` or
    ``signed_by`` are there where the owner signed on the screen; without them the printed sheet is signed. ``complaint``
    is what the household told, as it stood on the sheet: it and the sheet are taken away when its file is due, the
    figures and the sheet's digest stay.
    """

    repair = models.OneToOneField("jobs.RepairOrder", on_delete=models.PROTECT, related_name="hand_back")
    road_test = models.ForeignKey(RoadTest, null=True, on_delete=models.PROTECT, related_name="+")
    check_list = models.ForeignKey("jobs.CheckList", on_delete=models.PROTECT, related_name="+")
    on = models.DateField()
    at = models.DateTimeField()
    odometer = models.PositiveIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    not_done = models.TextField(blank=True)
    care_notes = models.TextField(blank=True)
    owner_agrees = models.BooleanField(default=False)
    drawn = SealedJSONField("the owner's signature as drawn", null=True)
    signed_by = SealedTextField("the owner's name as signed", blank=True)
    complaint = SealedTextField("the complaint as it stood on the sheet", blank=True)
    sheet = models.BinaryField()
    sheet_sha256 = models.CharField(max_length=64)
    snapshot = models.JSONField()

    class Meta:
        ordering = ["-on", "-id"]

    def __str__(self) -> str:
        return f"{self.repair_id} handed back {self.on}"
