"""How quantities and core days are written on pages."""

from datetime import date

from django import template

from fund import clock
from fund.receipts import quantities
from fund.receipts.rules_shelf import core_warning, days_left

register = template.Library()


@register.simple_tag
def quantity_words(thousandths: int, unit: str) -> str:
    """``9000 "quart"`` as 9 quarts."""
    return quantities.quantity_words(thousandths, unit)


@register.filter
def core_days(due: date) -> str:
    """The days left of a core in words: ``7 days left, plan the trip``."""
    return core_warning(days_left(due, clock.today()))


@register.filter
def core_urgent(due: date) -> bool:
    return days_left(due, clock.today()) <= 7
