from typing import Any

from django import forms

from fund.forms import BookForm, DayField, MoneyFormField, WholeField
from jobs.intake.rules import CLASSES
from jobs.vehicles.rules import TITLES, Standing


class VehicleForm(BookForm):
    """A vehicle as it stands at the door. Mileage in miles."""

    year = forms.IntegerField(
        label="Model year",
        widget=forms.TextInput(attrs={"class": "short", "inputmode": "numeric", "autocomplete": "off"}),
    )
    vehicle_class = forms.ChoiceField(label="Kind of vehicle", choices=[(name, name) for name in CLASSES])
    make_model = forms.CharField(label="Make and model", max_length=60, required=False)
    vin = forms.CharField(
        label="VIN",
        max_length=40,
        required=False,
        help_text="17 digits and letters, from the plate on the dash. One that looks wrong is kept, with a warning.",
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}
        ),
    )
    plate = forms.CharField(label="License plate", max_length=12, required=False)
    mileage = WholeField(label="Odometer, miles", min_value=0, max_value=9_999_999, required=False)
    note = forms.CharField(
        label="Note",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Existing damage, warning lights, keys, valuables taken out.",
    )


class VehicleAndStandingForm(VehicleForm):
    """With what the fund's rules ask of a vehicle."""

    title = forms.ChoiceField(
        label="Title is in the name of", choices=[("", "not asked yet"), *TITLES.items()], required=False
    )
    registered_on = DayField(label="Registered to the household since", required=False)
    value = MoneyFormField(
        label="Worth in working order", required=False, help_text="From a price guide, at its mileage."
    )
    value_source = forms.CharField(label="Who says so", max_length=120, required=False)

    def answers(self, cleaned: dict[str, Any]) -> dict[str, Any]:
        """What the actions take: the standing as one value."""
        names = ("title", "registered_on", "value", "value_source")
        rest = {name: value for name, value in cleaned.items() if name not in names}
        return {**rest, "standing": Standing(**{name: cleaned[name] for name in names})}
