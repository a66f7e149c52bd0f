from decimal import Decimal
from typing import Any

from django import forms

from fund.access.second import signature_fields
from fund.forms import BookForm, DayField
from jobs.repairs.models import RepairOrder
from jobs.repairs.queries import open_repairs
from jobs.repairs.rules import State
from jobs.repairs.rules_logs import CONVERTER_ENDS, DIRECTIONS, WASTE

SIGNED = "Typed by the second person, who looked at it with you."


def _line(label: str, help_text: str = "", required: bool = False, high: int = 120) -> forms.CharField:
    return forms.CharField(label=label, help_text=help_text, required=required, max_length=high)


class ConverterForm(BookForm):
    """A converter that came off."""

    on = DayField(label="Taken off on")
    marking = _line("Number stamped on it", "Or “none to be read”.", high=60)
    words = forms.CharField(
        label="Note", required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        repairs = RepairOrder.objects.filter(state__in=(State.IN_WORK, State.TESTED, State.HANDED_BACK))
        repair = forms.ModelChoiceField(
            repairs.order_by("-number"),
            label="Repair order",
            empty_label="Choose",
            error_messages={"required": "Choose the repair order it came off."},
        )
        self.fields = {"repair": repair, **self.fields, **signature_fields(SIGNED)}


class ConverterEndForm(BookForm):
    """Where it went."""

    on = DayField(label="Went on")
    went = forms.ChoiceField(
        label="Where it went", choices=list(CONVERTER_ENDS.items()), widget=forms.RadioSelect
    )
    where = _line("Name of the place or person", high=120)
    paper = _line("Number of the paper", "Receipt or manifest.", high=60)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields |= signature_fields(SIGNED)


class WasteForm(BookForm):
    """A row of the waste log."""

    direction = forms.ChoiceField(
        label="What happened",
        choices=list(DIRECTIONS.items()),
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what happened."},
    )
    kind = forms.ChoiceField(
        label="Of what", choices=[(kind, f"{kind.capitalize()} ({unit})") for kind, unit in WASTE.items()]
    )
    quantity = forms.DecimalField(
        label="How much",
        max_digits=9,
        decimal_places=3,
        help_text="In the unit beside the kind. A minus takes back an earlier row.",
        widget=forms.TextInput(attrs={"class": "short", "inputmode": "decimal", "autocomplete": "off"}),
        error_messages={"required": "Write how much it was.", "invalid": "Write a number, such as 4.5."},
    )
    on = DayField(label="Day")
    where = _line("Taken to", "When it was taken away.")
    paper = _line("Number of the paper", high=60)
    words = _line("Note", high=200)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["repair"] = forms.ModelChoiceField(
            open_repairs(), label="From which repair", required=False, empty_label="None in particular"
        )

    def clean_quantity(self) -> int:
        return int(Decimal(self.cleaned_data["quantity"]) * 1000)
