"""Rows of people and of incomes on the pages of a request."""

import re
from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.http import HttpRequest
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.households.rows import Rows, member_facts, rows_told
from jobs.households.rules import IncomeFacts, MemberFacts
from jobs.intake.forms_parts import Choices, IncomeRow, PersonRow

MOST_ROWS, EMPTY_ROWS, MORE_ROWS = 30, 3, 3
PEOPLE, INCOMES = "people", "incomes"


class AskedRows(Rows):
    """Rows that name what is wrong in the language of the page."""

    default_error_messages: ClassVar[dict[str, Any]] = {
        "too_many_forms": _(
            "There is room for %(num)d rows here. Leave the others empty and tell us when we call."
        ),
    }

    def refusals(self) -> list[str]:
        row = gettext("Row")
        of_all = [str(error) for error in self.non_form_errors()]
        return of_all + [
            f"{row} {place}. {self._box(form, name)}{' '.join(str(error) for error in errors)}"
            for place, form in enumerate(self.forms, start=1)
            for name, errors in form.errors.items()
        ]


_Any = Any
PeopleRows: _Any = forms.formset_factory(
    PersonRow,
    formset=AskedRows,
    extra=EMPTY_ROWS,
    max_num=MOST_ROWS,
    absolute_max=MOST_ROWS,
    validate_max=True,
)
IncomesRows: _Any = forms.formset_factory(
    IncomeRow,
    formset=AskedRows,
    extra=EMPTY_ROWS,
    max_num=MOST_ROWS,
    absolute_max=MOST_ROWS,
    validate_max=True,
)


def people_rows(typed: Mapping[str, Any] | None, *, judged: bool) -> AskedRows:
    """Rows of the people beside the person asking: judged, or as typed with a few empty ones below."""
    return _rows(PeopleRows, PEOPLE, PersonRow.base_fields, typed, judged=judged)


def incomes_rows(typed: Mapping[str, Any] | None, people: Choices, *, judged: bool) -> AskedRows:
    more = {"form_kwargs": {"people": people}}
    return _rows(IncomesRows, INCOMES, IncomeRow.base_fields, typed, judged=judged, **more)


def _rows(
    make: _Any, prefix: str, names: Any, typed: Mapping[str, Any] | None, *, judged: bool, **more: Any
) -> AskedRows:
    if judged:
        rows: AskedRows = make(_counted(typed or {}, prefix), prefix=prefix, **more)
        return rows
    told = typed_rows(typed or {}, prefix, names)
    filled = [row for row in told if row.get("name") or row.get("amount")]
    rows = make(initial=filled, prefix=prefix, **more)
    if "more" in (typed or {}):
        rows.extra = len(told) - len(filled) + MORE_ROWS
    elif filled:
        rows.extra = max(EMPTY_ROWS - len(filled), 1)
    return rows


def _counted(typed: Mapping[str, Any], prefix: str) -> dict[str, Any]:
    """What was typed, with the number of rows as they came where the page's own number was lost or cannot be."""
    # A QueryDict unpacked would give lists.
    given = {name: typed[name] for name in typed}
    return given | {f"{prefix}-TOTAL_FORMS": str(_count(typed, prefix)), f"{prefix}-INITIAL_FORMS": "0"}


def _count(typed: Mapping[str, Any], prefix: str) -> int:
    told = rows_told(str(typed.get(f"{prefix}-TOTAL_FORMS", "")))
    if told is not None and told <= MOST_ROWS:
        return told
    places = [re.fullmatch(rf"{prefix}-(\d{{1,3}})-\w+", name) for name in typed]
    return max((int(place[1]) + 1 for place in places if place), default=0)


def typed_rows(typed: Mapping[str, Any], prefix: str, names: Any) -> list[dict[str, str]]:
    rows = range(min(_count(typed, prefix), MOST_ROWS))
    return [{name: typed.get(f"{prefix}-{row}-{name}", "") for name in names} for row in rows]


def people_of(rows: AskedRows) -> list[MemberFacts]:
    return [member_facts(row) for row in rows.filled()]


def incomes_of(rows: AskedRows) -> list[IncomeFacts]:
    return [IncomeRow.facts(row) for row in rows.filled()]


def names_for_incomes(asking: str, others: list[str]) -> Choices:
    """Whose an income can be: the person asking is 1, the others follow in their order."""
    first = asking or gettext("you")
    return [(place, name) for place, name in enumerate([first, *others], start=1)]


def numbers_for_incomes(rows: int) -> Choices:
    """The same on a page where the names are still being typed."""
    return [(1, "the person asking"), *((row + 1, f"person {row}") for row in range(1, rows + 1))]


def posted_count(request: HttpRequest, prefix: str, least: int) -> int:
    count = request.POST.get(f"{prefix}-TOTAL_FORMS", "")
    return min(max(rows_told(count) or 0, least), MOST_ROWS)
