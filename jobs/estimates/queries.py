from datetime import date

from fund.rulebook.queries import rules_on
from jobs.estimates.models import EstimateLine, SupplementRequest
from jobs.estimates.rules import Shape, ToleranceRule
from jobs.repairs.models import RepairOrder


def lines_of(repair: RepairOrder, number: int = 0) -> list[EstimateLine]:
    """The lines of one round: 0 is the first estimate, each supplement has its own."""
    return list(repair.estimate_lines.filter(round=number).order_by("ordinal"))


def open_request(repair: RepairOrder) -> SupplementRequest | None:
    """The supplement that waits for an answer, if there is one."""
    return repair.supplement_requests.filter(answer="").select_related("asked_by").first()


def tolerance_rule(on: date | None = None) -> ToleranceRule:
    """The fund's own tolerance on a day (default today), out of four dated settings. One query."""
    rules = rules_on(on)
    shape = Shape(rules["tolerance_shape"])
    return ToleranceRule(
        shape, rules["tolerance_percent"], rules["tolerance_dollars"], rules["tolerance_cap"]
    )
