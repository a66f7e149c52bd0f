from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet, Subquery

from fund import clock
from fund.rulebook.kept import Row, kept_rows
from fund.rulebook.models import DatedRule
from fund.rulebook.rules import RULES, Rule


def rule(name: str, on: date | None = None) -> Any:
    """The value of a rule on a day (default today), typed by its kind: str, int, Money or bool."""
    spec = RULES[name]
    on = on or clock.today()
    kept = kept_rows()
    if kept is not None:
        return spec.read(_latest(kept, on).get(name, spec.start))
    row = DatedRule.objects.filter(name=name, valid_from__lte=on).order_by("-valid_from", "-id").first()
    return spec.read(row.value if row else spec.start)


def rule_along(name: str, on: date | None = None) -> Subquery:
    """The text of a rule's value on a day, to be read along with other rows; :func:`from_text` gives the value."""
    rows = DatedRule.objects.filter(name=name, valid_from__lte=on or clock.today())
    return Subquery(rows.order_by("-valid_from", "-id").values("value")[:1])


def from_text(name: str, text: str | None) -> Any:
    """The typed value of what :func:`rule_along` gave; None means that the rule stands as it started."""
    spec = RULES[name]
    return spec.read(spec.start if text is None else text)


def rules_on(on: date | None = None) -> dict[str, Any]:
    """All rules on a day, in one query."""
    on = on or clock.today()
    rows = kept_rows()
    if rows is None:
        found = DatedRule.objects.filter(valid_from__lte=on).order_by("valid_from", "id")
        rows = list(found.values_list("name", "valid_from", "value"))
    latest = _latest(rows, on)
    return {name: spec.read(latest.get(name, spec.start)) for name, spec in RULES.items()}


def _latest(rows: Iterable[Row], on: date) -> dict[str, str]:
    """The text of each rule's value on a day, of rows that stand in the order of their days."""
    return {name: value for name, since, value in rows if since <= on}


@dataclass(frozen=True, slots=True)
class Span:
    """One value of a rule, typed, from a day until the day before another."""

    value: Any
    since: date
    until: date


def spans(names: Iterable[str]) -> dict[str, list[Span]]:
    """Every value that these rules have had and will have, the earliest first, without a gap. One query."""
    days: dict[str, dict[date, str]] = {name: {date.min: RULES[name].start} for name in names}
    for row in DatedRule.objects.filter(name__in=days).order_by("valid_from", "id"):
        days[row.name][row.valid_from] = row.value
    found = {}
    for name, values in days.items():
        ends = [*list(values)[1:], date.max]
        found[name] = [
            Span(RULES[name].read(value), since, until)
            for (since, value), until in zip(values.items(), ends, strict=True)
        ]
    return found


@dataclass(frozen=True, slots=True)
class RuleState:
    """A rule with the text of its value on a day, since when, and the values set for later days."""

    spec: Rule
    value: str
    since: date | None
    to_come: list[DatedRule]


def rule_states(on: date | None = None) -> list[RuleState]:
    """Every rule as it stands on a day (default today). One query."""
    on = on or clock.today()
    present: dict[str, DatedRule] = {}
    later: dict[str, list[DatedRule]] = {}
    for row in DatedRule.objects.order_by("valid_from", "id"):
        if row.valid_from <= on:
            present[row.name] = row
        else:
            later.setdefault(row.name, []).append(row)
    states = []
    for name, spec in RULES.items():
        row_now = present.get(name)
        value, since = (row_now.value, row_now.valid_from) if row_now else (spec.start, None)
        states.append(RuleState(spec, value, since, later.get(name, [])))
    return states


def history(name: str) -> QuerySet[DatedRule]:
    """All values a rule was ever given, the latest day first."""
    return DatedRule.objects.filter(name=name).select_related("set_by").order_by("-valid_from", "-id")
