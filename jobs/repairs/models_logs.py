from decimal import Decimal

from django.conf import settings
from django.db import models

from fund.sealed_fields import SealedTextField
from jobs.repairs.rules_logs import CONVERTER_ENDS, DIRECTIONS, WASTE

PERSON = settings.AUTH_USER_MODEL


class Converter(models.Model):
    """A catalytic converter that came off a vehicle, written down by two people. Append-only but for the sealed VIN."""

    repair = models.ForeignKey("jobs.RepairOrder", on_delete=models.PROTECT, related_name="converters")
    on = models.DateField("taken off on")
    vin = SealedTextField("VIN of the vehicle", blank=True)
    marking = models.CharField("number stamped on it", max_length=60)
    words = models.TextField(blank=True)
    by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    second = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"converter {self.marking}"


class ConverterEnd(models.Model):
    """Where a converter went, again by two people. Append-only: one end for each."""

    converter = models.OneToOneField(Converter, on_delete=models.PROTECT, related_name="end")
    on = models.DateField()
    went = models.CharField(max_length=12, choices=list(CONVERTER_ENDS.items()))
    where = models.CharField(max_length=120)
    paper = models.CharField("number of the paper", max_length=60, blank=True)
    by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    second = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.converter} {self.went}"


class Waste(models.Model):
    """Something that must not go into the ground: caught in the shop, or taken away. Append-only.

    Quantity in thousandths of the kind's own unit (``rules_logs.WASTE``); below zero where it takes back a slip of the pen.
    """

    on = models.DateField()
    direction = models.CharField(max_length=8, choices=list(DIRECTIONS.items()))
    kind = models.CharField(max_length=20, choices=[(kind, kind.capitalize()) for kind in WASTE])
    quantity = models.BigIntegerField()
    repair = models.ForeignKey(
        "jobs.RepairOrder", null=True, blank=True, on_delete=models.PROTECT, related_name="waste"
    )
    where = models.CharField("taken to", max_length=120, blank=True)
    paper = models.CharField("number of the paper", max_length=60, blank=True)
    words = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(direction="caught") | ~models.Q(where=""),
                name="jobs_waste_taken_somewhere",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.direction}"

    @property
    def unit(self) -> str:
        return WASTE[self.kind]

    @property
    def count(self) -> str:
        return f"{Decimal(self.quantity).scaleb(-3).normalize():f} {self.unit}"
