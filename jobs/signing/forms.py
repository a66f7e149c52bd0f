"""The box to sign in, as a form field. Its value is the strokes (``rules.read_strokes``), or None."""

import json
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fund.forms import BookForm
from jobs.signing.rules import HIGH, MOST_POINTS, MOST_STROKES, NAME_LONGEST, WIDE, Signature, read_strokes

WORDS = {
    "box": "Box to sign in with a finger, a pen or a mouse",
    "empty": "Nothing in the box yet.",
    "drawn": "Signed in the box.",
    "full": "The box is full. Clear it and sign once.",
    "undo": "Take back the last stroke",
    "clear": "Clear it",
    "no_script": "Drawing needs a script, which is off here. Type the name and tick.",
}
WORDS_ES = {
    "box": "Recuadro para firmar con un dedo, un lápiz o un ratón",
    "empty": "Todavía no hay nada en el recuadro.",
    "drawn": "Firmado en el recuadro.",
    "full": "El recuadro está lleno. Bórrelo y firme una sola vez.",
    "undo": "Quitar el último trazo",
    "clear": "Borrar",
    "no_script": "Para dibujar hace falta un script, que aquí está apagado. Escriba el nombre y marque la casilla.",
}


class SignPad(forms.Widget):
    """Hidden until the script shows it: without one nothing can be drawn, and the typed way stands beside it."""

    template_name = "jobs/signing/pad.html"
    use_fieldset = True
    words = WORDS

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        limits = {"wide": WIDE, "high": HIGH, "strokes": MOST_STROKES, "points": MOST_POINTS}
        return context | {"limits": limits, "words": self.words}

    def format_value(self, value: Any) -> str:
        return value if isinstance(value, str) else json.dumps(value) if value else ""

    def id_for_label(self, id_: str) -> str:
        return ""


class DrawnField(forms.Field):
    """What was drawn, or None. Refuses what is no drawing with a sentence; whether one is needed the action says."""

    widget = SignPad

    def __init__(self, label: str = "Signature", help_text: str = "") -> None:
        super().__init__(label=label, help_text=help_text, required=False)

    def to_python(self, value: Any) -> list[list[int]] | None:
        try:
            return read_strokes(str(value or ""))
        except ValueError as wrong:
            raise ValidationError(str(wrong), code="drawing") from wrong


def owner_name() -> forms.CharField:
    return forms.CharField(
        label="Owner's name",
        required=False,
        max_length=NAME_LONGEST,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "words"}),
    )


class SigningForm(BookForm):
    """A form that an owner may sign: its cleaned data hold a ``signature`` (``rules.Signature``)."""

    drawn = DrawnField("Sign in the box")
    signed_by = owner_name()
    signed = forms.BooleanField(label="I am the owner, and I sign this.", required=False)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        data["signature"] = Signature(
            data.pop("drawn", None), data.pop("signed_by", ""), data.pop("signed", False)
        )
        return data
