"""Money is whole minor units (cents). The only file that parses, formats, rounds and splits money."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, ClassVar

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models.expressions import Combinable

from fund.refusal import BadInput

LIMIT = 10**15  # minor units; far above any fund, far below a 64-bit overflow
_SHAPES = {
    mark: re.compile(rf"(\d+|\d{{1,3}}(?:[{group}]\d{{3}})+)?(?:[{mark}](\d+))?", re.ASCII)
    for mark, group in ((".", ","), (",", ". "))
}


@dataclass(frozen=True, order=True, slots=True)
class Money:
    """A signed amount in whole minor units (``Money(118400)`` is 1,184.00)."""

    minor: int
    zero: ClassVar["Money"]

    def __post_init__(self) -> None:
        if type(self.minor) is not int:
            raise TypeError(f"Money takes whole minor units, not {type(self.minor).__name__}")

    def __add__(self, other: "Money") -> "Money":
        return Money(self.minor + other.minor) if isinstance(other, Money) else NotImplemented

    def __sub__(self, other: "Money") -> "Money":
        return Money(self.minor - other.minor) if isinstance(other, Money) else NotImplemented

    def __mul__(self, times: int) -> "Money":
        return Money(self.minor * times) if type(times) is int else NotImplemented

    def __neg__(self) -> "Money":
        return Money(-self.minor)

    def __abs__(self) -> "Money":
        return Money(abs(self.minor))

    def __bool__(self) -> bool:
        return self.minor != 0

    def __str__(self) -> str:
        whole, cents = divmod(abs(self.minor), 100)
        return f"{'-' if self.minor < 0 else ''}{whole:,}.{cents:02}"

    @property
    def dollars(self) -> str:
        return f"-${-self}" if self.minor < 0 else f"${self}"


Money.zero = Money(0)


def total(amounts: Iterable[Money]) -> Money:
    return Money(sum(amount.minor for amount in amounts))


def parse_money(text: str, decimal_mark: str = ".") -> Money:
    """Read an amount as a person or a bank file writes it: ``1,184.00``, ``$12``, ``-3.50``, ``(3.50)``.

    ``decimal_mark`` is "." or ","; the other mark (and with "," also a space) may group thousands.
    Refuses letters, more than one sign, more than two decimals, and wrongly grouped thousands.
    """
    raw = text.strip().replace("\u00a0", " ").replace("\u2212", "-")
    bare, negative = raw, False
    if bare.startswith("(") and bare.endswith(")"):
        bare, negative = bare[1:-1], True
    marks = ["("] if negative else []
    while bare[:1] in ("-", "+", "$") and bare:
        negative = negative or bare[0] == "-"
        marks.append(bare[0])
        bare = bare[1:].lstrip()
    signs = [mark for mark in marks if mark != "$"]
    match = _SHAPES[decimal_mark].fullmatch(bare)
    # Two signs are a slip of the pen or of a file, and nobody knows which of them was meant.
    if not match or len(signs) > 1 or len(marks) - len(signs) > 1 or (match[1] is None and match[2] is None):
        raise BadInput(f"“{raw[:40]}” is not an amount of money. Write it like 1184.00.")
    cents = match[2] or ""
    if len(cents.rstrip("0")) > 2:
        raise BadInput(f"“{raw[:40]}” has parts of a cent. Write two places after the point.")
    whole = match[1] or "0"
    minor = int(whole if whole.isdigit() else re.sub(r"\D", "", whole)) * 100 + int(cents[:2].ljust(2, "0"))
    if minor > LIMIT:
        raise BadInput(f"“{raw[:40]}” is too large an amount.")
    return Money(-minor if negative else minor)


def round_half_up(minor: Fraction) -> Money:
    """Whole minor units nearest to an exact number of minor units; a half goes away from zero."""
    whole, rest = divmod(abs(minor), 1)
    whole += rest >= Fraction(1, 2)
    return Money(-int(whole) if minor < 0 else int(whole))


def split(amount: Money, weights: Sequence[int | Fraction]) -> list[Money]:
    """Share an amount by weights so that the shares add up to it exactly.

    Largest remainder (Hamilton); a tie goes to the first line; the sign of the amount is kept.
    Refuses negative weights, and an amount that has no weight to go to.
    """
    whole = sum(weights, Fraction(0))
    if any(weight < 0 for weight in weights):
        raise ValueError("weights may not be negative")
    if not whole:
        if amount:
            raise BadInput(f"There is no line to carry {amount}.")
        return [Money.zero for _ in weights]
    shares = hand_out(abs(amount.minor), [Fraction(weight) * abs(amount.minor) / whole for weight in weights])
    return [Money(-share if amount.minor < 0 else share) for share in shares]


def hand_out(units: int, quotas: Sequence[Fraction]) -> list[int]:
    """Whole units by exact quotas: each its whole part, what is left by largest fraction, a tie to the first line.

    The quotas must sum to within one unit a line of ``units``.
    """
    shares = [int(quota) for quota in quotas]
    left = units - sum(shares)
    if not 0 <= left <= len(quotas):
        raise ValueError("quotas do not belong to this number of units")
    by_fraction = sorted(range(len(quotas)), key=lambda i: (shares[i] - quotas[i], i))
    for i in by_fraction[:left]:
        shares[i] += 1
    return shares


class MoneyField(models.BigIntegerField):
    """A signed 64-bit column of minor units that reads and writes :class:`Money`."""

    # What the type checker (django-stubs) sees on a row and takes in a query.
    _pyi_private_set_type: Money | Combinable  # type: ignore[assignment]
    _pyi_private_get_type: Money  # type: ignore[assignment]
    _pyi_lookup_exact_type: Money | int  # type: ignore[assignment]

    def from_db_value(self, value: int | None, expression: object, connection: object) -> Money | None:
        return None if value is None else Money(int(value))

    def to_python(self, value: Any) -> Money | None:
        if value is None or isinstance(value, Money):
            return value
        if isinstance(value, int):
            return Money(value)
        try:
            return parse_money(str(value))
        except BadInput as refusal:
            raise ValidationError(refusal.sentence) from refusal

    def get_prep_value(self, value: Any) -> int | None:
        return value.minor if isinstance(value, Money) else super().get_prep_value(value)

    def value_to_string(self, obj: models.Model) -> str:
        value: Any = self.value_from_object(obj)
        return "" if value is None else str(value.minor)
