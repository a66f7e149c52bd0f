from django.db import models

from fund.money import MoneyField
from fund.sealed_fields import SealedTextField
from jobs.vehicles.rules import TITLES, vin_warning


class Vehicle(models.Model):
    """A household's vehicle. Mileage in miles; VIN, plate and maker never reach a public page."""

    household = models.ForeignKey("jobs.Household", on_delete=models.PROTECT, related_name="vehicles")
    year = models.PositiveSmallIntegerField("model year")
    vehicle_class = models.CharField("kind of vehicle", max_length=40)
    make_model = models.CharField("make and model", max_length=60, blank=True)
    vin = SealedTextField("VIN", blank=True)
    plate = SealedTextField(blank=True)
    mileage = models.PositiveIntegerField(null=True, blank=True)
    note = SealedTextField(blank=True)
    title = models.CharField(
        "title is in the name of", max_length=12, choices=list(TITLES.items()), blank=True
    )
    registered_on = models.DateField("registered to the household since", null=True, blank=True)
    value = MoneyField("value in working order", null=True, blank=True)
    value_source = models.CharField("who says so", max_length=120, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.year} {self.vehicle_class}"

    @property
    def vin_warning(self) -> str:
        return vin_warning(self.vin)
