"""Rules that gave way because a second person agreed, and what a yes is then tied to. Pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fund.money import Money
from jobs.eligibility.rules_facts import EXCEPTION, FAIL, Finding

COST_RULES = ("cap", "value")


@dataclass(frozen=True)
class Agreed:
    """An exception that a second person agreed to: the rule, the reason, who asked and who agreed.

    ``up_to``: the cost of the repair up to which a rule about cost gives way.
    """

    rule: str
    reason: str
    people: tuple[str, str]
    up_to: Money | None = None

    def covers(self, cost: Money | None) -> bool:
        """Whether it holds at a cost of the repair (None: not priced yet). What costs more is asked for anew."""
        if self.rule not in COST_RULES or cost is None:
            return True
        return self.up_to is not None and cost <= self.up_to


def with_exceptions(
    found: Sequence[Finding], agreed: Iterable[Agreed], cost: Money | None = None
) -> list[Finding]:
    """Failing rules that gave way at this cost, as exceptions. A rule that does not yield stays failed."""
    by_rule = {row.rule: row for row in agreed if row.covers(cost)}
    return [
        Finding(
            row.rule, EXCEPTION, row.words, row.code, True, by_rule[row.rule].reason, by_rule[row.rule].people
        )
        if row.outcome == FAIL and row.yields and row.rule in by_rule
        else row
        for row in found
    ]


CONDITIONS = {
    "license": "No one of the household drives it off: it is handed back to a licensed driver, or on a trailer.",
    "insurance": "No test on public roads, and handed back on a trailer or once insurance is shown.",
}


def conditions(found: Sequence[Finding]) -> list[str]:
    """What an eligible decision with these exceptions is tied to."""
    return [CONDITIONS[row.rule] for row in found if row.outcome == EXCEPTION and row.rule in CONDITIONS]
