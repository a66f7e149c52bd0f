"""What the patterns page shows: every piece of the look once, with invented content."""

from dataclasses import dataclass
from datetime import date
from typing import Any

import django_tables2 as tables
from django import forms

from fund.forms import BookForm, DayField, MoneyFormField
from fund.money import Money
from fund.tables import BookTable, DayColumn, HoursColumn, MoneyColumn


class PatternForm(BookForm):
    amount = MoneyFormField(label="Amount", help_text="What is printed on the receipt, with tax.")
    day = DayField(label="Day", help_text="The date on the paper, not the day you enter it.")
    words = forms.CharField(label="What happened", required=False, widget=forms.Textarea(attrs={"rows": 3}))
    home = forms.ChoiceField(label="Goes to", choices=[("repair", "A repair"), ("shelf", "The shelf")])
    tender = forms.ChoiceField(
        label="Who paid",
        choices=[("card", "The fund's card"), ("own", "My own money")],
        widget=forms.RadioSelect,
    )
    sure = forms.BooleanField(
        label="I hold the paper in my hand", required=False, help_text="Keep it until the month is closed."
    )


class PatternLineForm(BookForm):
    words = forms.CharField(label="What it is", required=False)
    hours = forms.CharField(label="Hours", required=False)
    amount = MoneyFormField(label="Amount", required=False)


class PatternTable(BookTable):
    region_label = "Example of a list"
    sortable_here = False

    day = DayColumn(verbose_name="Day")
    words = tables.Column("What")
    hours = HoursColumn(verbose_name="Hours")
    amount = MoneyColumn(verbose_name="Amount", footer="-97.15".replace("-", "\u2212"))


@dataclass(frozen=True, slots=True)
class PatternRow:
    day: date
    words: str
    hours: int
    amount: Money


def patterns_context() -> dict[str, Any]:
    rows = [
        PatternRow(date(2026, 3, 4), "Front pads and rotors, Alder", 24, Money(-18229)),
        PatternRow(date(2026, 3, 5), "Gift from a supporter", 0, Money(8514)),
    ]
    wrong = PatternForm(
        {"amount": "1.234", "day": "2026-03-04", "words": "Two lines\nare still here.", "home": "shelf"}
    )
    wrong.is_valid()
    wrong.add_error(
        None, "Lines 149.00 + tax 12.29 = 161.29, the receipt says 164.29: 3.00 unexplained. A disposal fee?"
    )
    return {
        "form": PatternForm(auto_id="fresh_%s"),
        "wrong": wrong,
        "rows": forms.formset_factory(PatternLineForm, extra=3)(prefix="pattern"),
        "table": PatternTable(rows),
        "amounts": [Money(118400), Money(-9472), Money(0)],
        "consequences": [
            "Nothing can be posted in March any more.",
            "What comes late is shown as a later change.",
        ],
    }
