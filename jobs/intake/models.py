from django.conf import settings
from django.db import models

from fund.sealed_fields import SealedTextField
from jobs.intake.rules import (
    CHANNELS,
    CLASSES,
    DRIVABLE,
    NEEDS,
    OPEN_STATES,
    OTHER_WAYS,
    STATES,
    in_the_way,
    to_ask_again,
)
from jobs.intake.rules_order import Waiting


class Application(models.Model):
    """One request for help with one vehicle.

    ``asked_day`` is the proleptic ordinal of ``submitted_on``, with which the database computes days of waiting.
    ``household_definition`` is the one by which the household was asked who belongs to it.
    """

    code = models.CharField(max_length=12, unique=True)
    household = models.ForeignKey("jobs.Household", on_delete=models.PROTECT, related_name="applications")
    state = models.CharField(max_length=20, choices=list(STATES.items()), default="waiting", db_index=True)
    submitted_on = models.DateField("asked on", db_index=True)
    asked_day = models.PositiveIntegerField()
    taken_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )  # None: the household itself, by the public form
    channel = models.CharField(max_length=12, choices=list(CHANNELS.items()))
    referral = SealedTextField("sent by", blank=True)
    best_time = models.CharField("best time to call", max_length=80, blank=True)
    household_definition = models.CharField(max_length=40, blank=True)
    vehicle_year = models.PositiveSmallIntegerField("model year", null=True, blank=True)
    vehicle_class = models.CharField("kind of vehicle", max_length=40, choices=[(c, c) for c in CLASSES])
    vehicle_words = models.CharField("make and model", max_length=120, blank=True)
    complaint = models.TextField()
    drivable = models.CharField("does it drive?", max_length=8, choices=list(DRIVABLE.items()))
    need = models.CharField("needed for", max_length=12, choices=list(NEEDS.items()))
    need_words = SealedTextField("what the household does without it", blank=True)
    other_way = models.CharField(
        "another way to get around", max_length=8, choices=list(OTHER_WAYS.items()), blank=True
    )
    answers = models.JSONField(default=dict)
    consents = models.JSONField(default=dict)
    helped_on = models.DateField(null=True, blank=True)
    withdrawn_on = models.DateField("taken back by the household", null=True, blank=True)

    class Meta:
        ordering = ["-code"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state__in=list(STATES)), name="jobs_application_known_state"
            ),
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def vehicle(self) -> str:
        return f"{self.vehicle_year or ''} {self.vehicle_class}".strip()

    @property
    def is_open(self) -> bool:
        return self.state in OPEN_STATES

    @property
    def waiting(self) -> Waiting:
        return Waiting(
            code=self.code,
            drivable=self.drivable,
            need=self.need,
            other_way=self.other_way,
            asked_on=self.submitted_on,
        )

    @property
    def in_the_way(self) -> list[str]:
        return in_the_way(self.answers)

    @property
    def to_ask_again(self) -> list[str]:
        return to_ask_again(self.answers)


class RelationAnswer(models.Model):
    """What one person of the crew answered to "do you know or are you related to this household?".

    Asked anew for each decision; never changed (database trigger). A tie stays a tie.
    """

    application = models.ForeignKey(Application, on_delete=models.PROTECT, related_name="relation_answers")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    tie = models.BooleanField()
    words = SealedTextField(blank=True)
    on = models.DateField()
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.person} on {self.application}: {'tie' if self.tie else 'no tie'}"
