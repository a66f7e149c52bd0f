from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from fund.forms import BookForm, WholeField
from jobs.signing.forms import DrawnField
from jobs.vehicles.outline import ZONES
from jobs.vehicles.rules_checkin import CODES, FUEL, QUESTIONS, UNSAFE, CheckInFacts

WHOLE = {"inputmode": "numeric", "autocomplete": "off"}
LISTS = ("zones", "unsafe")
NOT_IN_A_DRAFT = ("photos", "drawn", "signed")


def _whole(label: str, high: int, css: str = "short", **more: Any) -> WholeField:
    return WholeField(
        label=label,
        required=False,
        min_value=0,
        max_value=high,
        widget=forms.TextInput(attrs={**WHOLE, "class": css}),
        **more,
    )


def _words(label: str, help_text: str = "", rows: int = 0, **attrs: Any) -> forms.CharField:
    box = forms.Textarea(attrs={"rows": rows, **attrs}) if rows else forms.TextInput(attrs=attrs)
    return forms.CharField(
        label=label, help_text=help_text, required=False, max_length=2000 if rows else 300, widget=box
    )


def _tick(label: str) -> forms.BooleanField:
    return forms.BooleanField(label=label, required=False)


def _ticks(label: str, choices: dict[str, str]) -> forms.MultipleChoiceField:
    return forms.MultipleChoiceField(
        label=label, choices=list(choices.items()), required=False, widget=forms.CheckboxSelectMultiple
    )


class ManyFiles(forms.ClearableFileInput):
    allow_multiple_selected = True


class PhotosField(forms.FileField):
    """Any number of photos; whether each is one is judged by its content when it is stored."""

    widget = ManyFiles

    def clean(self, data: Any, initial: Any = None) -> list[UploadedFile]:
        files = data if isinstance(data, list | tuple) else [data]
        return [super(PhotosField, self).clean(file, initial) for file in files if file]


class CheckInForm(BookForm):
    """In the order of a walk round the vehicle. Nothing is required here: an unfinished check-in can be kept, and the
    action says what lacks."""

    mileage = _whole("Miles on the odometer", 9_999_999, "big")
    fuel = forms.ChoiceField(
        label="Fuel", choices=list(FUEL.items()), required=False, widget=forms.RadioSelect
    )
    no_lights = _tick("No warning light stays on")
    lights = _words("Lights that stay on", placeholder="ABS, check engine")
    photos = PhotosField(
        label="Take photos",
        required=False,
        widget=ManyFiles(attrs={"accept": "image/jpeg,image/png,image/heic,image/heif"}),
    )
    zones = _ticks("Damage that is there already", {key: words for key, (words, _) in ZONES.items()})
    damage = _words("What kind of damage", placeholder="dent, scratch, rust")
    keys = _whole("Keys left here", 20)
    valuables_out = _tick("Valuables are out")
    vin_compared = _tick("VIN is the one on the title")
    codes_state = forms.ChoiceField(
        label="Codes", choices=list(CODES.items()), required=False, widget=forms.RadioSelect
    )
    codes = _words("Codes", "All of them, pending ones too, before anything is cleared.", rows=2)
    freeze_frame = _words("Freeze frame", "As the reader shows it: speed, load, temperature.", rows=2)
    unsafe = _ticks("Not safe; the owner was told", UNSAFE)
    unsafe_words = _words("Said to the owner", placeholder="Do not drive it home")
    earlier_work = _words(
        "Done wrong before us",
        "What you see of earlier work, before you touch it. Take a photo of it.",
        rows=2,
    )
    intermittent = _tick("The fault comes and goes")
    minutes = _whole("Minutes until it shows", 10_000)
    miles = _whole("Miles until it shows", 100_000)
    drawn = DrawnField("Sign in the box")
    signed_by = _words("Owner's name", autocomplete="off", autocapitalize="words")
    signed = _tick("I am the owner. This is how it came in, and I was told what is not safe.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for key, words in QUESTIONS.items():
            self.fields[f"told_{key}"] = _words(words)

    def facts(self) -> CheckInFacts:
        """What was typed, for the action; call it after ``is_valid``."""
        data = {name: value for name, value in self.cleaned_data.items() if name != "photos"}
        told = {key: data.pop(f"told_{key}") for key in QUESTIONS}
        return CheckInFacts(**{**data, **{name: tuple(data[name]) for name in LISTS}}, told=told)

    def typed(self) -> dict[str, Any]:
        """Every character typed, right or wrong, to be kept as a draft.

        Not the signature and the tick: they stand for what was on the page when they were given, and a draft changes.
        """
        kept: dict[str, Any] = {}
        for name in self.fields:
            if name in LISTS:
                kept[name] = self.data.getlist(name)  # type: ignore[attr-defined]
            elif name not in NOT_IN_A_DRAFT:
                kept[name] = self.data.get(name, "")
        return kept

    def told(self, kept: Mapping[str, Any]) -> list[str]:
        """What a kept draft says otherwise than what is typed here, a line each."""
        mine = self.typed()
        return [
            f"{self.fields[name].label}: {self._in_words(name, kept[name])}"
            for name in mine
            if name in kept and kept[name] != mine[name]
        ]

    def _in_words(self, name: str, value: Any) -> str:
        choices = dict(getattr(self.fields[name], "choices", ()))
        if isinstance(self.fields[name], forms.BooleanField):
            return "ticked" if value else "not ticked"
        if isinstance(value, list):
            return ", ".join(str(choices.get(key, key)) for key in value) or "nothing"
        return str(choices.get(value, value)) or "nothing"

    def some(self, *names: str) -> list[forms.BoundField]:
        return [self[name] for name in names]

    @property
    def drawn_parts(self) -> list[Any]:
        """The boxes of parts that the drawing shows."""
        return [box for box in self["zones"] if ZONES[str(box.data["value"])][1]]

    @property
    def other_parts(self) -> list[Any]:
        return [box for box in self["zones"] if not ZONES[str(box.data["value"])][1]]

    @property
    def questions(self) -> list[forms.BoundField]:
        return self.some(*(f"told_{key}" for key in QUESTIONS))

    def _written(self, names: Sequence[str]) -> bool:
        return any(self[name].value() or self[name].errors for name in names)

    @property
    def codes_open(self) -> bool:
        return self._written(("codes_state", "codes", "freeze_frame"))

    @property
    def unsafe_open(self) -> bool:
        return self._written(("unsafe", "unsafe_words"))

    @property
    def earlier_open(self) -> bool:
        return self._written(("earlier_work",))

    @property
    def fault_open(self) -> bool:
        return self._written(("intermittent", "minutes", "miles", *(f"told_{key}" for key in QUESTIONS)))


class PhotoForm(BookForm):
    """A photo of work before or after."""

    photo = forms.FileField(
        label="Photo",
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/heic,image/heif"}),
        error_messages={"required": "Choose or take a photo."},
    )
    words = forms.CharField(label="What it shows", required=False, max_length=120)
