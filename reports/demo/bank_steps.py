"""Steps of the story that concern the bank: its statements, matching, reconciling, reviewing."""

from datetime import date

from fund.access.models import Person
from fund.bank.actions import confirm_all, post_missing
from fund.bank.actions_import import import_statement
from fund.bank.actions_layouts import save_layout
from fund.bank.actions_platforms import set_platform_balance
from fund.bank.actions_reconcile import reconcile as reconcile_bank
from fund.bank.actions_reconcile import review
from fund.bank.models import StatementLayout
from fund.bank.queries_open import open_lines, suggestions
from fund.bank.queries_reconciling import latest
from fund.bank.rules_csv import CsvSpec
from fund.gifts.models import Platform
from fund.ledger.rules import last_day
from fund.money import Money
from fund.refusal import NotReady
from reports.demo.cast import Cast, Step


def statement_layout(cast: Cast, by: Person, step: Step, on: date) -> None:
    save_layout(by=by, spec=CsvSpec(**step["layout"]))


def statement(cast: Cast, by: Person, step: Step, on: date) -> None:
    path = cast.folder / step["month"] / step["file"]
    layout = StatementLayout.objects.get(name=step["layout"]) if step["layout"] else None
    import_statement(by=by, data=path.read_bytes(), filename=f"{step['month']}-{path.name}", layout=layout)
    confirm_all(by=by, chosen=suggestions(last_day(step["month"])))


def only_bank(cast: Cast, by: Person, step: Step, on: date) -> None:
    line = open_lines().get(amount=Money(step["amount"]))
    post_missing(by=by, line=line, kind=step["kind"])


def platform_balance(cast: Cast, by: Person, step: Step, on: date) -> None:
    platform = Platform.objects.get(code=step["platform"])
    set_platform_balance(by=by, platform=platform, month=step["month"], amount=Money(step["amount"]))


def reconcile(cast: Cast, by: Person, step: Step, on: date) -> None:
    reconcile_bank(by=by, month=step["month"], statement_balance=Money(step["closing"]))


def review_bank(cast: Cast, by: Person, step: Step, on: date) -> None:
    prepared = latest(step["month"])
    if prepared is None:
        raise NotReady(f"The bank reconciliation of {step['month']} was not prepared.")
    review(by=by, reconciliation=prepared)
