"""The arithmetic and the rules as a template takes them, or the sentence why there are none."""

from collections.abc import Callable
from datetime import date

from fund.refusal import Refusal
from jobs.eligibility.queries_rules import rules_applied
from jobs.eligibility.rules import Assessment
from jobs.eligibility.rules_facts import FAIL, Finding
from jobs.intake.models import Application


def worked_out(work: Callable[[], Assessment]) -> dict[str, Assessment | str]:
    try:
        return {"assessment": work()}
    except Refusal as refusal:
        return {"no_assessment": refusal.sentence}


def rules_worked_out(application: Application, on: date | None) -> dict[str, list[Finding] | bool]:
    """Every rule of the fund, and whether one that fails may give way."""
    try:
        found = rules_applied(application, on)
    except Refusal:
        return {"rules": [], "may_give_way": False}
    return {"rules": found, "may_give_way": any(row.outcome == FAIL and row.yields for row in found)}
