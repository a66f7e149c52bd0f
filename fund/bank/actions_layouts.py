"""Layouts of banks' CSV files."""

from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.bank.models import StatementLayout
from fund.bank.rules_csv import CsvSpec, check_spec
from fund.refusal import BadInput
from fund.trail.actions import record


@transaction.atomic
def save_layout(*, by: Person | None, spec: CsvSpec) -> StatementLayout:
    """Save how a bank's CSV is read; the same name replaces what was saved before. ``by`` None: the program itself.

    Refuses a layout that could not read a statement, with every reason (:func:`check_spec`).
    """
    if by is not None:
        require(by, "bank.reconcile")
    if not spec.name.strip():
        raise BadInput("Give the layout a name.")
    check_spec(spec)
    told = {name: getattr(spec, name) for name in CsvSpec.__dataclass_fields__ if name != "name"}
    told |= {"columns": dict(spec.columns), "out_words": list(spec.out_words)}
    layout, _ = StatementLayout.objects.update_or_create(name=spec.name, defaults=told)
    record(by=by, action="bank.layout", subject=spec.name, text=f"Statement layout “{spec.name}” saved.")
    return layout
