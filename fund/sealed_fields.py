"""Columns that hold sealed values: text, money, a day, JSON. They can't be searched; see :mod:`fund.sealed`."""

import json
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models.expressions import Combinable

from fund.money import Money
from fund.sealed import seal, unseal


class SealedTextField(models.TextField):
    """Text. On a row it is readable; in the database it is a token. Any search but ``isnull`` is refused."""

    def to_text(self, value: Any) -> str:
        return str(value)

    def from_text(self, text: str) -> Any:
        return text

    def get_prep_value(self, value: Any) -> str | None:
        return None if value is None else seal(self.to_text(value))

    def from_db_value(self, value: str | None, expression: object, connection: object) -> Any:
        return None if value is None else self.from_text(unseal(value))

    def get_lookup(self, lookup_name: str) -> Any:
        return super().get_lookup(lookup_name) if lookup_name == "isnull" else None

    def get_transform(self, lookup_name: str) -> Any:
        return None


class SealedMoneyField(SealedTextField):
    """Money in minor units, sealed. Sums are made in Python, over the few rows of one household."""

    _pyi_private_set_type: Money | Combinable  # type: ignore[assignment]
    _pyi_private_get_type: Money  # type: ignore[assignment]

    def to_text(self, value: Any) -> str:
        return str(value.minor)

    def from_text(self, text: str) -> Any:
        return Money(int(text))

    def to_python(self, value: Any) -> Any:
        if value is None or isinstance(value, Money):
            return value
        raise ValidationError("A sealed amount is Money.")


class SealedDateField(SealedTextField):
    """A day, sealed."""

    _pyi_private_set_type: date | None | Combinable  # type: ignore[assignment]
    _pyi_private_get_type: date | None  # type: ignore[assignment]

    def to_text(self, value: Any) -> str:
        return str(value.isoformat())

    def from_text(self, text: str) -> Any:
        return date.fromisoformat(text) if text else None

    def to_python(self, value: Any) -> Any:
        return date.fromisoformat(value) if isinstance(value, str) else value


class SealedNumberField(SealedTextField):
    """A whole number, sealed."""

    _pyi_private_set_type: int | None | Combinable  # type: ignore[assignment]
    _pyi_private_get_type: int | None  # type: ignore[assignment]

    def from_text(self, text: str) -> Any:
        return int(text) if text else None

    def to_python(self, value: Any) -> Any:
        return int(value) if isinstance(value, str) else value


class SealedJSONField(SealedTextField):
    """A JSON value, sealed. Keys are sorted, so equal values are equal texts."""

    _pyi_private_set_type: Any
    _pyi_private_get_type: Any

    def to_text(self, value: Any) -> str:
        return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))

    def from_text(self, text: str) -> Any:
        return json.loads(text) if text else None

    def to_python(self, value: Any) -> Any:
        return value
