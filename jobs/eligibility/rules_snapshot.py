"""What a decision freezes, as plain JSON, and the digest that shows any later change. Pure."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from fractions import Fraction
from hashlib import sha256

from jobs.eligibility.rules import Assessment
from jobs.eligibility.rules_facts import Finding
from jobs.eligibility.rules_income import step
from jobs.households.rules import IncomeFacts


def exact(value: Fraction) -> str:
    """A fraction as kept in a snapshot: ``5464000`` or ``100000/3``."""
    return str(value)


def snapshot(
    result: Assessment,
    incomes: Sequence[IncomeFacts],
    members: Sequence[Mapping[str, object]],
    found: Sequence[Finding] = (),
    further: Mapping[str, object] | None = None,
) -> dict[str, object]:
    """Every figure of a decision: Money as whole minor units, exact amounts as fractions in text.

    ``further`` are facts of the day beside the figures: name and address, the definition of a household, who decided.
    """
    return {
        **(further or {}),
        "method": result.method.name,
        "rounding": result.method.rounding,
        "members": [dict(member) for member in members],
        "size": result.size,
        "incomes": [_income(income, result) for income in incomes],
        "annual_income": exact(result.annual),
        "line": result.table.line,
        "area": result.table.area,
        "table_year": result.table.year,
        "table_in_use_from": result.table.in_use_from.isoformat(),
        "table_source": result.table.source,
        "guideline": result.guideline.minor,
        "percent": result.percent,
        "limit": exact(result.limit),
        "gap": exact(result.gap),
        "within": result.within,
        "sentence": result.sentence,
        "worksheet": result.worksheet,
        "rules": [_rule(finding) for finding in found],
    }


def _income(income: IncomeFacts, result: Assessment) -> dict[str, object]:
    return {
        "member": income.member,
        "kind": income.kind,
        "period": income.period,
        "amount": income.amount.minor,
        "stubs": [stub.minor for stub in income.stubs],
        "costs": income.costs.minor if income.costs else None,
        "hours_hundredths": income.hours,
        "weeks": income.weeks,
        "months": income.months,
        "weeks_so_far": income.weeks_so_far,
        "annual": exact(step(income, result.method).annual),
    }


def _rule(finding: Finding) -> dict[str, object]:
    return {**asdict(finding), "people": list(finding.people)}


def digest_of(frozen: Mapping[str, object], words: str) -> str:
    """SHA-256 of a snapshot and the words beside it. The snapshot carries a random ``nonce``, so that nobody can try
    out incomes until the digest fits."""
    text = json.dumps([frozen, words], sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return sha256(text.encode()).hexdigest()
