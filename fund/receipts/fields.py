"""Form fields of the receipts room: quantities, crew members, repairs."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fund.access.models import Person
from fund.receipts.quantities import number_words, parse_quantity
from fund.receipts.queries import repairs_to_buy_for
from fund.refusal import BadInput


class QuantityField(forms.Field):
    """A quantity typed as people write it (``12``, ``0.5``), in thousandths; None if left empty.

    ``zero`` takes 0 as well, for counts.
    """

    widget = forms.TextInput(attrs={"class": "number short", "inputmode": "decimal", "autocomplete": "off"})

    def __init__(self, *, zero: bool = False, **kwargs: Any) -> None:
        self.zero = zero
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> int | None:
        if value in self.empty_values:
            return None
        if self.zero and not str(value).strip(" 0."):
            return 0
        try:
            return parse_quantity(str(value))
        except BadInput as refusal:
            raise ValidationError(refusal.sentence, code="invalid") from refusal

    def prepare_value(self, value: Any) -> Any:
        return number_words(value).replace(",", "") if isinstance(value, int) else value


class CrewField(forms.ModelChoiceField):
    """A member of the crew who can sign in."""

    def __init__(self, **kwargs: Any) -> None:
        people = Person.objects.filter(is_active=True).order_by("first_name", "last_name", "username")
        kwargs.setdefault("empty_label", "")
        super().__init__(people, **kwargs)


def repair_choices() -> list[tuple[str, str]]:
    """Repairs that can be bought for, each with what is still promised to it."""
    choices = [("", "")]
    for repair in repairs_to_buy_for():
        left = f", {repair.open} left" if repair.open else ""
        choices.append((repair.code, f"{repair.code} {repair.label}{left}"))
    return choices


class RepairField(forms.ChoiceField):
    """A repair order out of those that can be bought for; ``keep`` adds the one a draft already names."""

    def __init__(
        self, *, choices: list[tuple[str, str]] | None = None, keep: str = "", **kwargs: Any
    ) -> None:
        found = choices if choices is not None else repair_choices()
        if keep and keep not in dict(found):
            found = [*found, (keep, keep)]
        super().__init__(choices=found, **kwargs)
