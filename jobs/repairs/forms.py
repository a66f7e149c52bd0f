from typing import Any

from django import forms

from fund.access.models import Person
from fund.access.powers import roles_with
from fund.forms import BookForm, OnceForm, WholeField
from jobs.households.models import Household
from jobs.vehicles.forms import VehicleForm

WHOLE = {"class": "short", "inputmode": "numeric", "autocomplete": "off"}


def words(label: str, help_text: str = "", required: bool = True, rows: int = 3) -> forms.CharField:
    return forms.CharField(
        label=label, help_text=help_text, required=required, widget=forms.Textarea(attrs={"rows": rows})
    )


def whole(label: str, help_text: str = "", high: int = 9_999_999) -> WholeField:
    return WholeField(
        label=label,
        help_text=help_text,
        required=False,
        min_value=0,
        max_value=high,
        widget=forms.TextInput(attrs=WHOLE),
    )


class TenthsField(forms.DecimalField):
    """Hours written as 2.4 that give tenths (24), or None."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs = {"required": False, "min_value": 0, "max_digits": 4, "decimal_places": 1, **kwargs}
        super().__init__(widget=forms.TextInput(attrs={**WHOLE, "inputmode": "decimal"}), **kwargs)

    def clean(self, value: Any) -> Any:
        hours = super().clean(value)
        return None if hours is None else int(hours * 10)

    def prepare_value(self, value: Any) -> Any:
        """What is stored is tenths; what is shown, and sent back unchanged, is hours."""
        return f"{value // 10}.{value % 10}" if isinstance(value, int) else value


def crew() -> forms.ModelChoiceField:
    """Who may do the work: those with a hand in the shop."""
    people = Person.objects.filter(groups__name__in=roles_with("repair.write"), is_active=True).distinct()
    return forms.ModelChoiceField(
        people.order_by("first_name", "last_name"),
        label="Who does the work",
        required=False,
        empty_label="Nobody yet",
    )


class ComplaintForm(BookForm):
    """What the owner says, with the owner's own figures for a fault that comes and goes."""

    complaint = words(
        "Complaint", "In the owner's own words: what, when, since when, how often, hot or cold."
    )
    job_type = forms.CharField(
        label="Kind of job", max_length=60, required=False, help_text="Such as brakes."
    )
    mileage_in = whole("Odometer at check-in, miles")
    intermittent = forms.BooleanField(label="The fault comes and goes", required=False)
    owner_minutes_to_failure = whole(
        "Minutes until it shows", "As the owner tells it. The road test must last at least as long.", 10_000
    )
    owner_miles_to_failure = whole("Miles until it shows", "As the owner tells it.", 100_000)


class FailurePointForm(BookForm):
    """When an intermittent fault shows, as the owner tells it."""

    minutes = whole("Minutes until it shows", "The road test must last at least as long.", 10_000)
    miles = whole("Miles until it shows", "The road test must go at least as far.", 100_000)


class CauseForm(BookForm):
    cause = words("Cause", "What was found, and by which test.")
    book_hours = TenthsField(label="Book hours", help_text="What the labor guide gives, in tenths: 2.5.")


class CorrectionForm(BookForm):
    correction = words("Correction", "What was done, and how it was proved.")


class MechanicForm(BookForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["mechanic"] = crew()


class ReasonForm(BookForm):
    reason = words("Reason", "Kept with the repair and read later.")


class FindingForm(OnceForm):
    text = words("Also found", "Something else seen while in there. It promises nothing by itself.", rows=2)


class OpenForm(ComplaintForm):
    """Check-in: the household's vehicle, one already known or a new one, and the complaint.

    ``first`` names who comes first in the stated order, when it is somebody else: then a reason is asked for.
    """

    NEW = ("year", "vehicle_class", "make_model", "vin", "plate")

    def __init__(self, *args: Any, household: Household, first: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = household.vehicles.all()
        fields: dict[str, forms.Field] = {}
        if first:
            fields["out_of_turn"] = words(
                f"{first} comes first. Why is {household.alias} taken before?",
                "Kept with the order of waiting as it is today, and never changed.",
                rows=2,
            )
        if known:
            fields["vehicle"] = forms.ModelChoiceField(
                known, label="Vehicle", required=False, empty_label="A new one, written below"
            )
        for name in self.NEW:
            fields[name] = VehicleForm.base_fields[name].__deepcopy__({})
            fields[name].required = name in ("year", "vehicle_class") and not known
        self.fields = {
            **fields,
            **self.fields,
            "mechanic": crew(),
            "book_hours": CauseForm.base_fields["book_hours"],
        }

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if not data.get("vehicle") and data.get("year") is None and "year" not in self.errors:
            self.add_error("year", "Write the model year, or choose a vehicle that is already known.")
        return data
