"""Choosing a typical job, keeping the crew's list of them, and the owner's yes."""

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms

from fund.forms import BookForm, MoneyFormField
from jobs.estimates.actions_types import Reminder, UsualLine
from jobs.estimates.models import KINDS
from jobs.estimates.models_owner import HOW
from jobs.estimates.models_types import JobType, JobTypeLine
from jobs.estimates.queries_types import job_types
from jobs.estimates.rows import wrong_lines
from jobs.estimates.rules import CONDITIONS, Kind
from jobs.repairs.forms import TenthsField

SPARE = 3
MOST = 40
NUMBER = {"class": "number narrow", "inputmode": "decimal", "autocomplete": "off"}


class ChooseForm(BookForm):
    typical_job = forms.ModelChoiceField(
        job_types(),
        label="Typical job",
        required=False,
        empty_label="None of the crew's list",
        help_text="Brings its cautions, usual lines and what a second person verifies.",
    )


class OwnerYesForm(BookForm):
    """The owner was told the cause and what will be done."""

    how = forms.ChoiceField(
        label="How",
        choices=HOW,
        widget=forms.RadioSelect,
        error_messages={"required": "Say how the owner agreed."},
    )
    name = forms.CharField(
        label="Who said yes", max_length=80, error_messages={"required": "Write who said yes."}
    )
    called = forms.CharField(label="Number called", max_length=40, required=False, help_text="For a call.")


class UsualForm(BookForm):
    """One usual line. A row without words is no row."""

    kind = forms.ChoiceField(label="Kind", choices=KINDS, required=False)
    text = forms.CharField(
        label="What", max_length=120, required=False, widget=forms.TextInput(attrs={"class": "broad"})
    )
    condition = forms.ChoiceField(
        label="Condition", choices=[("", "any"), *((word, word) for word in CONDITIONS)], required=False
    )
    quantity = forms.DecimalField(
        label="Quantity",
        min_value=Decimal("0.001"),
        max_digits=9,
        decimal_places=3,
        required=False,
        widget=forms.TextInput(attrs=NUMBER),
    )
    unit = forms.CharField(
        label="Unit", max_length=16, required=False, widget=forms.TextInput(attrs={"class": "narrow"})
    )
    low = MoneyFormField(label="From", required=False)
    high = MoneyFormField(label="To", required=False)

    def __init__(self, *args: Any, place: int, **kwargs: Any) -> None:
        super().__init__(*args, prefix=f"line-{place}", **kwargs)
        for field in self.fields.values():
            field.widget.attrs["aria-label"] = f"Line {place + 1}, {str(field.label).lower()}"

    @property
    def empty(self) -> bool:
        return not self.data.get(f"{self.prefix}-text", "").strip()

    def line(self) -> UsualLine:
        data = self.cleaned_data
        return UsualLine(
            kind=Kind(data["kind"] or Kind.PART),
            text=data["text"],
            quantity=int((data["quantity"] or Decimal(1)) * 1000),
            unit=data["unit"],
            condition=data["condition"],
            low=data["low"],
            high=data["high"],
        )


def _sentences(label: str, help_text: str, rows: int = 5, required: bool = False) -> forms.CharField:
    return forms.CharField(
        label=label,
        help_text=help_text,
        required=required,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": rows}),
    )


class JobTypeForm(BookForm):
    """A typical job; its lines are written in rows below it."""

    name = forms.CharField(label="Name", max_length=60, error_messages={"required": "Give the job a name."})
    book_from = TenthsField(label="Book hours from")
    book_to = TenthsField(label="Book hours to")
    complaint = forms.CharField(label="Usual complaint", max_length=200, required=False)
    cause = forms.CharField(label="Usual cause", max_length=200, required=False)
    verify = _sentences("A second person verifies", "One thing a line.")
    cautions = _sentences("Cautions", "What can hurt. One thing a line.")
    care = _sentences("The household is told", "One thing a line.", rows=3)
    reminders = _sentences(
        "Reminders", "Days after the hand-back, then what to do: 3 Torque the wheel nuts again.", rows=3
    )
    source = forms.CharField(
        label="Where this comes from",
        max_length=120,
        help_text="Common practice, the crew's own, or a manual.",
        error_messages={"required": "Say where this comes from."},
    )
    active = forms.BooleanField(label="On the list to choose from", required=False)

    def clean_reminders(self) -> list[Reminder]:
        found = []
        for line in filter(None, map(str.strip, self.cleaned_data["reminders"].splitlines())):
            parts = re.fullmatch(r"(\d{1,3})\s*(?:days?)?\s*[:,]?\s+(.+)", line)
            if not parts:
                raise forms.ValidationError(f"“{line}” does not begin with a number of days.")
            found.append(Reminder(int(parts[1]), parts[2]))
        return found

    def facts(self) -> dict[str, Any]:
        """What the action takes, its lines apart."""
        lists = {name: self.cleaned_data[name].splitlines() for name in ("verify", "cautions", "care")}
        return {**self.cleaned_data, **lists}


def start_of(job: JobType | None) -> dict[str, Any]:
    """The form as a stored job fills it."""
    if job is None:
        return {"source": "the crew's own practice", "active": True}
    tenths = {
        name: None if value is None else Decimal(value) / 10
        for name, value in (("book_from", job.book_from), ("book_to", job.book_to))
    }
    lists = {name: "\n".join(getattr(job, name)) for name in ("verify", "cautions", "care")}
    plain = {name: getattr(job, name) for name in ("name", "complaint", "cause", "source", "active")}
    reminders = "\n".join(f"{row['days']} {row['text']}" for row in job.reminders)
    return {**plain, **tenths, **lists, "reminders": reminders}


class UsualRows:
    """All usual lines of a job: as stored, or as typed."""

    def __init__(self, data: Mapping[str, Any] | None, stored: Sequence[JobTypeLine] = ()) -> None:
        self.typed = data is not None
        if data is None:
            starts = [_start(line) for line in stored] + [{} for _ in range(SPARE)]
            self.forms = [UsualForm(place=place, initial=start) for place, start in enumerate(starts)]
        else:
            count = int(data["rows"]) if str(data.get("rows", "")).isdecimal() else SPARE
            self.forms = [UsualForm(data, place=place) for place in range(min(count, MOST))]

    @property
    def filled(self) -> list[UsualForm]:
        return [form for form in self.forms if not form.empty]

    def is_valid(self) -> bool:
        return all(form.is_valid() for form in self.filled)

    @property
    def wrong(self) -> list[str]:
        numbered = enumerate(self.forms, start=1)
        return wrong_lines((place, form) for place, form in numbered if self.typed and not form.empty)

    def lines(self) -> list[UsualLine]:
        return [form.line() for form in self.filled]


def _start(line: JobTypeLine) -> dict[str, Any]:
    names = ("kind", "text", "condition", "unit", "low", "high")
    quantity = f"{Decimal(line.quantity).scaleb(-3).normalize():f}"
    return {**{name: getattr(line, name) for name in names}, "quantity": quantity}
