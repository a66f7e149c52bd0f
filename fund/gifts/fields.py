"""Fields of the gifts room's forms."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fund.access.models import Person
from fund.gifts.models import Supporter
from fund.gifts.queries import find_supporter
from fund.gifts.rules_exchange import read_rate
from fund.refusal import BadInput

WHO = "Code, e-mail or whole name as it stands in the list of supporters."


class SupporterField(forms.CharField):
    """A supporter typed as code, e-mail or whole name; exactly one must fit."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("help_text", WHO)
        kwargs.setdefault("max_length", 254)
        kwargs.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off"}))
        super().__init__(**kwargs)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        found = find_supporter(text)
        if not found:
            raise ValidationError(f"Nobody is written down as “{text}”.")
        if len(found) > 1:
            codes = ", ".join(str(supporter) for supporter in found)
            raise ValidationError(f"Several supporters fit: {codes}. Write the code.")
        return found[0]


class SupportersField(SupporterField):
    """Several supporters, divided by commas."""

    def clean(self, value: Any) -> tuple[Supporter, ...]:
        texts = [text.strip() for text in (value or "").split(",") if text.strip()]
        return tuple(super(SupportersField, self).clean(text) for text in texts)


class CrewField(forms.ModelChoiceField):
    """Someone of the crew, or nobody."""

    def __init__(self, **kwargs: Any) -> None:
        people = Person.objects.filter(is_active=True).order_by("first_name", "last_name")
        super().__init__(queryset=people, empty_label="nobody", **kwargs)

    def label_from_instance(self, obj: Any) -> str:
        return str(obj.label)


class RateField(forms.CharField):
    """A rate of exchange, as whole millionths."""

    widget = forms.TextInput(attrs={"class": "short", "inputmode": "decimal", "autocomplete": "off"})

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        try:
            return read_rate(text) if text else None
        except BadInput as refusal:
            raise ValidationError(refusal.sentence) from refusal
