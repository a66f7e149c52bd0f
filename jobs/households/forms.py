import re
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fund import clock
from fund.forms import BookForm, DayField, MoneyFormField
from fund.money import Money, parse_money
from fund.refusal import BadInput
from fund.templatetags.money import quantity
from jobs.households.models import Household
from jobs.households.rules import (
    AREAS,
    KINDS,
    LANGUAGES,
    MONTHS,
    PAPERS,
    PERIODS,
    PROGRAMS,
    RELATIONS,
    WEEKS,
    IncomeFacts,
    check_income,
    parse_hours,
)
from jobs.vehicles.models import Vehicle


class HoursField(forms.CharField):
    """Hours a week as typed ("37.5"), given in hundredths."""

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_hours(text)
        except BadInput as refusal:
            raise ValidationError(refusal.sentence) from refusal


class StubsField(forms.CharField):
    """Several amounts, between commas or blanks, as a tuple of Money."""

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        try:
            return tuple(parse_money(part) for part in re.split(r"[;\s]+|,\s+|,(?!\d{3}\b)", text) if part)
        except BadInput as refusal:
            raise ValidationError(refusal.sentence) from refusal


def short_number(label: str, low: int, high: int, help_text: str = "", **more: Any) -> forms.IntegerField:
    box = forms.TextInput(attrs={"class": "short", "inputmode": "numeric", "autocomplete": "off"})
    field = forms.IntegerField(
        label=label, min_value=low, max_value=high, help_text=help_text, widget=box, **more
    )
    field.error_messages["invalid"] = "Write a whole number."
    return field


class MemberRow(BookForm):
    name = forms.CharField(label="Name", max_length=120)
    relation = forms.ChoiceField(label="Who they are", choices=list(RELATIONS.items()), initial="child")
    birth_date = DayField(label="Birth date", required=False)
    birth_year = short_number("Or year of birth", 1900, 2199, required=False)
    adult = forms.BooleanField(label="18 or older", required=False)
    number = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def clean_birth_year(self) -> int | None:
        year: int | None = self.cleaned_data["birth_year"]
        if year is not None and year > clock.today().year:
            raise ValidationError(f"{year} has not come yet. Write the year of birth.")
        return year


class OtherRow(MemberRow):
    """Someone beside the person asking."""

    relation = forms.ChoiceField(
        label="Who they are",
        choices=[(key, words) for key, words in RELATIONS.items() if key != "applicant"],
        initial="child",
    )


class IncomeRow(BookForm):
    member = forms.TypedChoiceField(label="Whose", coerce=int)
    kind = forms.ChoiceField(label="Kind", choices=list(KINDS.items()), initial="pay")
    amount = MoneyFormField(label="Amount before taxes", lowest=None, required=False)
    stubs = StubsField(
        label="Several pays, to be averaged",
        required=False,
        help_text="Instead of the amount: 350.00, 325.00, 360.00",
    )
    period = forms.ChoiceField(label="How often", choices=list(PERIODS.items()), initial="two weeks")
    hours = HoursField(label="Hours a week", required=False, help_text="For pay by the hour.")
    weeks = short_number("Weeks a year", 1, WEEKS, "Fewer for seasonal work.", initial=WEEKS)
    weeks_so_far = short_number("Weeks so far", 1, WEEKS, "For a sum so far this year.", required=False)
    months = short_number(
        "Months a year",
        1,
        MONTHS,
        "Fewer for part of a year, or the months of a business.",
        required=False,
    )
    costs = MoneyFormField(
        label="Costs of the business", required=False, help_text="For takings over some months.", lowest=None
    )
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, people: Sequence[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["member"].choices = people  # type: ignore[attr-defined]
        self.fields["member"].initial = people[0][0]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if self.has_changed() and not self.errors:
            if cleaned["amount"] is None and not cleaned["stubs"]:
                raise ValidationError("Write an amount, or several pays to be averaged.")
            cleaned["amount"] = cleaned["amount"] or Money.zero
            try:
                check_income(self.facts(cleaned))
            except BadInput as refusal:
                raise ValidationError(refusal.sentence) from refusal
        return cleaned

    @staticmethod
    def facts(row: Mapping[str, Any]) -> IncomeFacts:
        names = (
            "kind",
            "period",
            "amount",
            "member",
            "hours",
            "weeks",
            "weeks_so_far",
            "note",
            "stubs",
        )
        return IncomeFacts(
            **{name: row[name] for name in names}, costs=row["costs"], months=row["months"] or MONTHS
        )

    @staticmethod
    def typed(income: IncomeFacts) -> dict[str, Any]:
        """An income as it would be typed into the row."""
        hours = "" if income.hours is None else quantity(income.hours)
        stubs = ", ".join(str(stub).replace(",", "") for stub in income.stubs)
        amount = None if income.stubs and not income.amount else income.amount
        months = None if income.months == MONTHS else income.months
        return {**vars(income), "hours": hours, "stubs": stubs, "amount": amount, "months": months}


class PeopleForm(BookForm):
    """No box of its own: it carries what was refused about the people as a whole."""


class NoIncomeForm(BookForm):
    no_income_words = forms.CharField(
        label="If nobody has an income: how are rent, food and phone paid, and by whom?",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class ContactForm(BookForm):
    applicant_name = forms.CharField(label="Name", max_length=120)
    phone = forms.CharField(
        label="Phone", max_length=40, required=False, widget=forms.TextInput({"type": "tel"})
    )
    email = forms.CharField(label="E-mail", max_length=254, required=False)
    address = forms.CharField(label="Address", max_length=240, required=False)
    area = forms.ChoiceField(label="Which income table", choices=list(AREAS.items()))
    district = forms.CharField(
        label="Area of other income tables",
        max_length=60,
        required=False,
        help_text="Only where the fund uses another table than the poverty guideline: its area, as the table names it.",
    )
    language = forms.ChoiceField(label="Language", choices=list(LANGUAGES.items()))
    program = forms.ChoiceField(
        label="On a program that looks at income",
        choices=[("", "none"), *PROGRAMS.items()],
        required=False,
        help_text="Its letter is entered as a paper.",
    )

    @classmethod
    def of(cls, household: Household, **data: Any) -> "ContactForm":
        return cls(initial={name: getattr(household, name) for name in cls.base_fields}, **data)


class SightForm(BookForm):
    kind = forms.ChoiceField(label="Paper", choices=list(PAPERS.items()))
    document_date = DayField(label="Date on the paper")
    expires_on = DayField(label="Valid until", required=False, future=True)
    on = DayField(label="Seen on")
    vehicle = forms.ModelChoiceField(
        label="Which vehicle it names",
        queryset=Vehicle.objects.none(),
        required=False,
        empty_label="none",
        help_text="A title holder's authority counts for the vehicle it names.",
    )
    note = forms.CharField(
        label="Note",
        max_length=200,
        required=False,
        help_text="No numbers of accounts or papers: none are kept.",
    )

    copy = forms.FileField(
        label="Copy to keep",
        required=False,
        help_text="Usually none. A photo or PDF is kept sealed and deleted on the day below.",
    )
    delete_on = DayField(label="Delete the copy on", required=False, future=True)

    @classmethod
    def for_today(cls, today: date, household: Household, **data: Any) -> "SightForm":
        form = cls(initial={"on": today}, **data)
        form.fields["vehicle"].queryset = household.vehicles.order_by("pk")  # type: ignore[attr-defined]
        return form
