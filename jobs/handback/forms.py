from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fund.forms import BookForm, DayField, WholeField
from fund.receipts.quantities import parse_quantity
from fund.refusal import BadInput
from jobs.handback.models import READINESS, RESULTS, ROUTES
from jobs.handback.models_proof import FLUID_CHOICES, LEVEL_CHOICES
from jobs.handback.rules import SAFETY_LINES, SIGNING
from jobs.handback.rules_proof import FluidDraft
from jobs.hours.forms import PersonField, crew_with_hours
from jobs.signing.forms import DrawnField, SigningForm

YES_NO = [("yes", "Yes"), ("no", "No")]


def _words(label: str, help_text: str = "", **kwargs: Any) -> forms.CharField:
    return forms.CharField(label=label, help_text=help_text, required=False, max_length=200, **kwargs)


def _whole(
    label: str, help_text: str = "", *, lowest: int = 0, highest: int = 2_000_000, **kwargs: Any
) -> WholeField:
    return WholeField(label=label, help_text=help_text, min_value=lowest, max_value=highest, **kwargs)


def _yes_no(label: str) -> forms.TypedChoiceField:
    return forms.TypedChoiceField(
        label=label,
        choices=YES_NO,
        coerce=lambda value: value == "yes",
        widget=forms.RadioSelect,
        error_messages={"required": "Say yes or no."},
    )


class QuartsField(forms.CharField):
    """Quarts as people write them (``1.5``, ``0``) that give thousandths, or None."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "class": "short number"})

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        if not text:
            return None
        if not text.strip("0."):
            return 0
        try:
            return parse_quantity(text)
        except BadInput as refusal:
            raise ValidationError(refusal.sentence, code="invalid") from refusal


FLUID_ROWS = 6


def _fluid_fields(place: int) -> dict[str, forms.Field]:
    """One fluid: what it is, quarts out, in and added after the drive, its level and at how many degrees."""
    return {
        f"fluid{place}": forms.ChoiceField(
            label="Fluid", required=False, choices=[("", "none"), *FLUID_CHOICES]
        ),
        f"out{place}": QuartsField(label="Quarts that came out", required=False),
        f"put_in{place}": QuartsField(label="Quarts put in", required=False),
        f"added{place}": QuartsField(label="Quarts added after the drive", required=False),
        f"level{place}": forms.ChoiceField(
            label="Level after the drive", required=False, choices=[("", "not read"), *LEVEL_CHOICES]
        ),
        f"temp_f{place}": _whole("Read at, °F", lowest=-60, highest=400, required=False),
    }


class RoadTestForm(BookForm):
    """In the order of the drive: before moving, on the road, after it. Safety lines are yes or no, never empty."""

    on = DayField(label="Day")
    driver = PersonField(label="Driver", empty_label=None, help_text="Licensed and insured.")
    passenger = forms.CharField(label="Passenger", required=False, max_length=60)
    odometer_out = _whole("Odometer going out")
    odometer_in = _whole("Odometer coming in")
    minutes = _whole("Minutes driven", highest=1440)
    route = forms.ChoiceField(label="Route", choices=ROUTES)
    in_traffic = forms.BooleanField(label="Drove in traffic", required=False)
    on_hill = forms.BooleanField(label="Drove up a hill", required=False)
    on_highway = forms.BooleanField(label="Drove at highway speed", required=False)
    ambient_f = _whole("Outside temperature, °F", lowest=-60, highest=140, required=False)
    complaint_returned = _yes_no("Did the complaint come back?")
    noises = _words("Noises")
    pull = _words("Pull")
    brake = _words("Brakes")
    lights_after = _words("Warning lights on afterwards")
    codes_before = _words("Codes before")
    codes_cleared = _words(
        "Codes cleared", "Only after a real repair; clearing erases the monitors' readiness."
    )
    codes_pending = _words("Codes pending after the drive")
    readiness = forms.ChoiceField(label="Monitors", choices=READINESS)
    monitors = _words("Which are not ready", "As the reader names them.")
    leaks = _words("Leaks after ten minutes at idle")
    wheel_torque_lbft = _whole(
        "Wheel nuts, lb-ft", "The maker's figure.", lowest=1, highest=800, required=False
    )
    wheel_torque_by = PersonField(label="Torqued by", required=False, empty_label="Wheels stayed on")
    result = forms.ChoiceField(
        label="Result",
        choices=RESULTS,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose the result."},
    )
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What failed, or under which conditions the fault could not be duplicated.",
    )
    same_person_reason = _words(
        "Why you sign it yourself", "Only if you also did the work and nobody else can sign."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, words in SAFETY_LINES:
            self.fields[name] = _yes_no(words)
        for place in range(FLUID_ROWS):
            self.fields |= _fluid_fields(place)
        for name in ("driver", "wheel_torque_by"):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = crew_with_hours()

    def group(self, *names: str) -> list[forms.BoundField]:
        return [self[name] for name in names]

    @property
    def before(self) -> list[forms.BoundField]:
        return self.group(
            "brake_pedal_right", "fluids_right", "tires_right", "lights_work", "wheel_nuts_torqued"
        )

    @property
    def torque(self) -> list[forms.BoundField]:
        return self.group("wheel_torque_lbft", "wheel_torque_by")

    @property
    def drive(self) -> list[forms.BoundField]:
        return self.group(
            "on", "driver", "passenger", "odometer_out", "odometer_in", "minutes", "route", "ambient_f"
        )

    @property
    def driven(self) -> list[forms.BoundField]:
        return self.group("in_traffic", "on_hill", "on_highway")

    @property
    def road(self) -> list[forms.BoundField]:
        return self.group("stops_straight", "steering_right", "complaint_returned")

    @property
    def felt(self) -> list[forms.BoundField]:
        return self.group("noises", "pull", "brake", "lights_after")

    @property
    def after(self) -> list[forms.BoundField]:
        return self.group("no_leaks", "leaks")

    @property
    def fluid_rows(self) -> list[list[forms.BoundField]]:
        return [self.group(*_fluid_fields(place)) for place in range(FLUID_ROWS)]

    @property
    def codes(self) -> list[forms.BoundField]:
        return self.group("codes_before", "codes_cleared", "codes_pending", "readiness", "monitors")

    @property
    def end(self) -> list[forms.BoundField]:
        return self.group("result", "note", "same_person_reason")

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        data["fluids"] = []
        for place in range(FLUID_ROWS):
            row = {
                name: data.pop(f"{name}{place}", None)
                for name in ("fluid", "out", "put_in", "added", "level", "temp_f")
            }
            if row["fluid"]:
                row |= {"put_in": row["put_in"] or 0, "added": row["added"] or 0}
                data["fluids"].append(FluidDraft(**row))
            elif row["out"] or row["put_in"] or row["added"]:
                self.add_error(f"fluid{place}", "Say which fluid this was.")
        return data


class HandBackForm(SigningForm):
    """The owner signs here, or on the printed sheet afterwards."""

    on = DayField(label="Day")
    odometer = _whole("Odometer at hand-back")
    not_done = forms.CharField(
        label="What was not done",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="One thing a line. What is listed above is added by itself.",
    )
    care = forms.CharField(
        label="Care notes",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="One thing a line. The usual cautions for this kind of job are added by themselves.",
    )
    owner_agrees = forms.BooleanField(
        label="The fault could not be duplicated; the owner was told so and agrees to take the vehicle back",
        required=False,
    )

    drawn = DrawnField(
        "The owner signs in the box", f"{SIGNING} Or leave it empty, and the printed sheet is signed."
    )
    signed = forms.BooleanField(label=f"I am the owner. {SIGNING}", required=False)
    field_order = ["on", "odometer", "not_done", "care", "owner_agrees", "drawn", "signed_by", "signed"]

    def __init__(self, *args: Any, ask_owner: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not ask_owner:
            del self.fields["owner_agrees"]
