"""The house's form fields and the base of every form: how amounts and days are typed, and how a form is laid out."""

import re
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any
from uuid import uuid4

from django import forms
from django.core.exceptions import ValidationError
from django.forms.renderers import TemplatesSetting

from fund import clock
from fund.money import Money, parse_money
from fund.refusal import BadInput

TOKEN = "form_token"
GROUPED = re.compile(r"-?[0-9]{1,3}(?:(,|\s)[0-9]{3})(?:\1[0-9]{3})*")


class BookRenderer(TemplatesSetting):
    """Every form and field of the program in the house's layout (templates/partials)."""

    form_template_name = "partials/fields.html"
    field_template_name = "partials/field.html"


# Plain words for what the framework would tell in words of its own, by its code for what is wrong.
PLAIN: dict[str, Any] = {
    "required": "This cannot be left empty.",
    "invalid_choice": "Choose one of the list.",
    "invalid_list": "Choose from the list.",
    "whole": "Write a whole number.",
    "figure": "Write a number.",
    "email": "This is not an e-mail address. Look at it again, or leave it empty.",
    "max_length": "This is too long: %(limit_value)d characters at most, and it has %(show_value)d.",
    "min_length": "This is too short: %(limit_value)d characters at least, and it has %(show_value)d.",
    "min_value": "This must be %(limit_value)s or more.",
    "max_value": "This must be %(limit_value)s or less.",
    "null_characters_not_allowed": "This text holds a sign that cannot be kept. Type it again.",
    "missing": "No file came with it. Choose the file again.",
    "empty": "The file is empty. Choose another one.",
    "no_file": "No file came with it. Choose the file again.",
}
BY_VALIDATORS = ("max_length", "min_length", "min_value", "max_value", "null_characters_not_allowed")


def speak_plainly(field: forms.Field, plain: Mapping[str, Any]) -> None:
    """Give a field our words wherever it would use the framework's own; words of its own stay."""
    for code in BY_VALIDATORS:
        field.error_messages.setdefault(code, plain[code])
    if isinstance(field, forms.EmailField):
        field.error_messages.setdefault("invalid", plain["email"])
    for kind in type(field).__mro__:
        if kind.__module__.startswith("django."):
            for code, words in kind.__dict__.get("default_error_messages", {}).items():
                if field.error_messages.get(code) is words:
                    field.error_messages[code] = plain.get(_code(field, code), words)


def _code(field: forms.Field, code: str) -> str:
    if code != "invalid":
        return code
    if isinstance(field, forms.FileField):
        return "no_file"
    figures = isinstance(field, (forms.FloatField, forms.DecimalField))
    return "figure" if figures else "whole" if isinstance(field, forms.IntegerField) else code


class BookForm(forms.Form):
    """Base of all forms. ``refusal_details`` are further lines under a refused action's sentence (fund.pages.attempt).

    ``plain`` holds our words for what is wrong; a form that speaks more languages has its own.
    """

    default_renderer = BookRenderer
    plain: Mapping[str, Any] = PLAIN

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.refusal_details: list[str] = []

    def full_clean(self) -> None:
        for field in self.fields.values():  # only now: a form may add fields when it is made
            speak_plainly(field, self.plain)
        super().full_clean()


class OnceForm(BookForm):
    """A form that does its work once, however often it is sent: it carries a token of its own (:mod:`fund.sent.once`).

    The hidden box is in templates/partials/form_errors.html, which every form has. A form sent without a token (a
    program, a test) is taken as it is.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        told = str(self.data.get(TOKEN, "")) if self.is_bound else uuid4().hex
        self.once_token = told if re.fullmatch(r"[0-9a-f]{32}", told) else ""

    def renew_token(self) -> None:
        self.once_token = uuid4().hex


class MoneyBox(forms.TextInput):
    """A box for one amount: figures to the right, a keypad with a point on phones."""

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__({"class": "money", "inputmode": "decimal", "autocomplete": "off", **(attrs or {})})


class MoneyFormField(forms.Field):
    """An amount typed as people write it (``1,184.00``, ``$12``) that gives :class:`Money`, or None if left empty.

    ``lowest`` is the smallest amount taken (default zero; None takes any); ``above_zero`` refuses zero as well.
    """

    widget = MoneyBox
    default_error_messages = {"required": "Write an amount."}

    def __init__(self, *, lowest: Money | None = Money.zero, above_zero: bool = False, **kwargs: Any) -> None:
        self.lowest, self.above_zero = lowest, above_zero
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> Money | None:
        if value in self.empty_values:
            return None
        if isinstance(value, Money):
            return value
        try:
            amount = parse_money(str(value))
        except BadInput as refusal:
            raise ValidationError(refusal.sentence, code="invalid") from refusal
        if self.above_zero and amount <= Money.zero:
            raise ValidationError("Write an amount above zero.", code="low")
        if self.lowest is not None and amount < self.lowest:
            words = "cannot be below zero" if not self.lowest else f"must be at least {self.lowest}"
            raise ValidationError(f"The amount {words}.", code="low")
        return amount

    def prepare_value(self, value: Any) -> Any:
        return str(value).replace(",", "") if isinstance(value, Money) else value


class WholeField(forms.IntegerField):
    """A whole number typed as people write it and as the program prints it: ``143900``, ``143,900`` or ``143 900``.

    Groups are of three figures; ``143,9`` is refused, because nobody can tell what was meant.
    """

    widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "short number"})
    default_error_messages = {"required": "Write a whole number."}

    def to_python(self, value: Any) -> int | None:
        text = value.strip() if isinstance(value, str) else value
        if isinstance(text, str) and GROUPED.fullmatch(text):
            text = re.sub(r"[,\s]", "", text)
        number: int | None = super().to_python(text)
        return number


class DayBox(forms.DateInput):
    input_type = "date"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%Y-%m-%d")


class DayField(forms.DateField):
    """A calendar day. Days in the future are refused unless ``future`` is true."""

    widget = DayBox
    default_error_messages = {
        "required": "Write a date.",
        "invalid": "This is not a date. Write it like 2026-03-15.",
    }

    def __init__(self, *, future: bool = False, **kwargs: Any) -> None:
        self.future = future
        super().__init__(input_formats=["%Y-%m-%d", "%m/%d/%Y"], **kwargs)

    def to_python(self, value: Any) -> date | None:
        day: date | datetime | None = super().to_python(value)
        if isinstance(day, datetime):
            day = day.date()
        if day and not 1900 <= day.year <= 2199:
            raise ValidationError("Write the year with four figures, like 2026-03-15.", code="year")
        if day and not self.future and day > clock.today():
            raise ValidationError(
                f"{day.isoformat()} has not come yet (today is {clock.today().isoformat()}).", code="future"
            )
        return day


class MonthField(forms.CharField):
    """A month as ``2026-03``."""

    widget = forms.TextInput(attrs={"class": "short", "placeholder": "2026-03", "autocomplete": "off"})

    def to_python(self, value: Any) -> str:
        text = super().to_python(value) or ""
        if text:
            try:
                datetime.strptime(text, "%Y-%m")  # noqa: DTZ007
            except ValueError as error:
                raise ValidationError("Write the month like 2026-03.", code="invalid") from error
            if len(text) != 7 or not "1900" <= text[:4] <= "2199":
                raise ValidationError("Write the month like 2026-03.", code="invalid")
        return text
