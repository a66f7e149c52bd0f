"""Several people or incomes on one page: as many rows as are needed, and nothing typed is lost."""

from collections.abc import Iterable, Mapping
from typing import Any, ClassVar

from django import forms
from django.http import HttpRequest

from jobs.households.forms import IncomeRow, MemberRow, OtherRow
from jobs.households.models import Household
from jobs.households.rules import RELATIONS, IncomeFacts, MemberFacts

MORE_ROWS = 2
MOST_ROWS = 60


class Rows(forms.BaseFormSet[Any]):
    """Rows of one form. Those left empty are left out, and a row can be ticked to be taken out."""

    deletion_widget = forms.CheckboxInput
    default_error_messages: ClassVar[dict[str, Any]] = {
        "too_many_forms": "There is room for %(num)d rows. Leave the rows after them empty.",
        "missing_management_form": "The page came in without its number of rows. Load it again and send it once more.",
    }

    def add_fields(self, form: Any, index: int | None) -> None:
        super().add_fields(form, index)
        if "DELETE" in form.fields:
            form.fields["DELETE"].label = "Take this out"

    def get_form_kwargs(self, index: int | None) -> dict[str, Any]:
        return {**super().get_form_kwargs(index), "empty_permitted": True, "use_required_attribute": False}

    def filled(self) -> list[dict[str, Any]]:
        """The cleaned data of the rows that are filled in and not taken out. Call after ``is_valid``."""
        out = self.deleted_forms if self.can_delete else []
        return [form.cleaned_data for form in self.forms if form.has_changed() and form not in out]

    def refusals(self) -> list[str]:
        """What is wrong, a sentence for each box, named by its row."""
        of_all = [str(error) for error in self.non_form_errors()]
        return of_all + [
            f"Row {number}. {self._box(form, name)}{' '.join(str(error) for error in errors)}"
            for number, form in enumerate(self.forms, start=1)
            for name, errors in form.errors.items()
        ]

    @staticmethod
    def _box(form: forms.Form, name: str) -> str:
        return f"{form.fields[name].label}: " if name in form.fields else ""


MemberRows = forms.formset_factory(
    MemberRow,
    formset=Rows,
    extra=MORE_ROWS,
    can_delete=True,
    max_num=MOST_ROWS,
    absolute_max=MOST_ROWS,
    validate_max=True,
)
OtherRows = forms.formset_factory(
    OtherRow, formset=Rows, extra=3, max_num=MOST_ROWS, absolute_max=MOST_ROWS, validate_max=True
)
IncomeRows = forms.formset_factory(
    IncomeRow,
    formset=Rows,
    extra=1,
    can_delete=True,
    max_num=MOST_ROWS,
    absolute_max=MOST_ROWS,
    validate_max=True,
)


def rows_told(count: str) -> int | None:
    """How many rows a page says it has; None where it says no number that a page of this house could have."""
    return int(count) if count.isdecimal() and len(count) < 4 else None


def typed_rows(request: HttpRequest, prefix: str, names: Iterable[str]) -> list[dict[str, str]]:
    """The rows as they were typed, to be shown again with a few empty ones below and nothing judged yet."""
    count = request.POST.get(f"{prefix}-TOTAL_FORMS", "")
    rows = range(min(rows_told(count) or 0, MOST_ROWS))
    return [{name: request.POST.get(f"{prefix}-{row}-{name}", "") for name in names} for row in rows]


def _rows(
    request: HttpRequest, make: Any, prefix: str, names: Iterable[str], stored: Any, **more: Any
) -> Rows:
    """Rows of what is stored, of what was sent, or (after "more rows") of what was typed."""
    if request.method != "POST":
        rows: Rows = make(initial=stored(), prefix=prefix, **more)
    elif "more" in request.POST:
        rows = make(initial=typed_rows(request, prefix, names), prefix=prefix, **more)
    else:
        rows = make(request.POST, prefix=prefix, **more)
    return rows


def other_rows(request: HttpRequest) -> Rows:
    """The people beside the person asking, on the page of a new request."""
    return _rows(request, OtherRows, "people", OtherRow.base_fields, list)


def member_rows(request: HttpRequest, household: Household) -> Rows:
    def stored() -> list[dict[str, Any]]:
        return list(household.members.values(*MemberRow.base_fields))

    return _rows(request, MemberRows, "people", MemberRow.base_fields, stored)


def income_rows(request: HttpRequest, household: Household) -> Rows:
    people = [(row.number, f"{row.name} ({RELATIONS[row.relation]})") for row in household.members.all()]

    def stored() -> list[dict[str, Any]]:
        return [IncomeRow.typed(row.facts) for row in household.incomes.select_related("member")]

    names = IncomeRow.base_fields
    return _rows(request, IncomeRows, "incomes", names, stored, form_kwargs={"people": people})


def member_facts(row: Mapping[str, Any]) -> MemberFacts:
    return MemberFacts(**{name: row[name] for name in ("name", "relation", "birth_year", "adult", "number")})


def members_of(rows: Rows) -> list[MemberFacts]:
    return [member_facts(row) for row in rows.filled()]


def incomes_of(rows: Rows) -> list[IncomeFacts]:
    return [IncomeRow.facts(row) for row in rows.filled()]
