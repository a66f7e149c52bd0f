"""Codes that people read out to each other: R-00001, RO-0001. Taken in order, under the books lock."""

from typing import Any

from django.db import models
from django.db.models.functions import Length

from fund.ledger.lock import hold_books


def next_code(model: type[models.Model], field: str, prefix: str, width: int = 4) -> str:
    """The code after the highest one in use. Call inside a transaction; the books lock is held until it ends."""
    return next_codes(model, field, prefix, 1, width)[0]


def next_codes(model: type[models.Model], field: str, prefix: str, count: int, width: int = 4) -> list[str]:
    hold_books()
    manager: Any = model._default_manager
    rows = manager.filter(**{f"{field}__startswith": prefix}).order_by(Length(field).desc(), f"-{field}")
    last = rows.values_list(field, flat=True).first()
    first = int(last.removeprefix(prefix)) + 1 if last else 1
    return [f"{prefix}{number:0{width}}" for number in range(first, first + count)]
