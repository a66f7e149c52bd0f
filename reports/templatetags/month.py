"""How months are written on pages: ``{{ key|month_name }}`` March 2026, ``{{ repair|repair_notes }}`` what is said beside it."""

from collections.abc import Mapping
from typing import Any

from django import template

from fund.money import Money
from reports.charts import rules as charts
from reports.month import rules_page

register = template.Library()


@register.filter
def month_name(key: object) -> str:
    """``2026-03`` as March 2026; anything else stays as it is."""
    text = str(key)
    return (
        charts.month_name(text)
        if len(text) == 7 and text[5:].isdigit() and 1 <= int(text[5:]) <= 12
        else text
    )


@register.filter
def repair_notes(repair: Mapping[str, Any]) -> list[str]:
    return rules_page.repair_notes(repair)


@register.filter
def lead(record: Mapping[str, Any]) -> str:
    return rules_page.lead(record)


@register.filter
def is_money(cell: object) -> bool:
    """Whether a cell of a chart's data table is an amount (else it is text)."""
    return isinstance(cell, Money)


@register.filter
def minus(value: int) -> int:
    """The amount with the other sign, for what is taken off."""
    return -value
