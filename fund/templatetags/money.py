"""How amounts, hours and quantities are written on pages: ``{{ x|money }}`` 1,184.00, ``{{ x|hours }}`` 2.4."""

from decimal import Decimal

from django import template

from fund.money import Money

register = template.Library()
MINUS = "\u2212"


def _money(value: object) -> Money | None:
    """Money, whole minor units, or None for what is not an amount (an empty cell stays empty)."""
    if isinstance(value, Money):
        return value
    return Money(value) if type(value) is int else None


@register.filter
def money(value: object) -> str:
    """An amount without its sign of currency, for columns of figures: two places, a true minus sign."""
    amount = _money(value)
    return "" if amount is None else str(amount).replace("-", MINUS)


@register.filter
def dollars(value: object) -> str:
    """An amount with its sign of currency, for sentences."""
    amount = _money(value)
    return "" if amount is None else amount.dollars.replace("-", MINUS)


@register.filter
def debit(value: object) -> str:
    """The amount if it is a debit (positive), else nothing: the left column of a ledger."""
    amount = _money(value)
    return str(amount) if amount and amount > Money.zero else ""


@register.filter
def credit(value: object) -> str:
    """The amount without its sign if it is a credit (negative), else nothing: the right column of a ledger."""
    amount = _money(value)
    return str(-amount) if amount and amount < Money.zero else ""


@register.filter
def hours(tenths: object) -> str:
    """Tenths of an hour as hours: 24 is 2.4."""
    return f"{Decimal(tenths).scaleb(-1):,.1f}" if type(tenths) is int else ""


@register.filter
def quantity(hundredths: object) -> str:
    """Hundredths of a unit as a bare number: 900 is 9, 250 is 2.5."""
    return f"{Decimal(hundredths).scaleb(-2).normalize():,f}" if type(hundredths) is int else ""
