"""What an approval freezes, as plain JSON. Money in minor units, days as ISO text, no name of a household and
nothing that it told: its complaint stands sealed beside (``Approval.complaint``)."""

import hashlib
import json
from collections.abc import Iterable
from typing import Any

from fund.as_read import mark
from fund.commitments.rules import Position
from jobs.approvals.sheet import Sheet
from jobs.eligibility.models import EligibilityDecision
from jobs.estimates.models import EstimateLine


def freeze(sheet: Sheet, after: Position | None, reason: str) -> dict[str, Any]:
    """Every figure and answer the decision rested on."""
    repair, case = sheet.repair, sheet.case
    lines = lines_data(sheet.lines)
    number = sheet.request.round if sheet.request else 0
    return {
        "repair": repair.number,
        "alias": repair.alias,
        "vehicle_class": repair.vehicle_class,
        "cause": repair.cause,
        "round": number,
        "agreed_on": agreed_on(repair.cause, number, lines),
        "asked_because": sheet.request.reason if sheet.request else "",
        "estimate": lines,
        "cost": sheet.sums.cost.minor,
        "core_deposits": sheet.sums.cores.minor,
        "tolerance": sheet.tolerance.minor,
        "tolerance_rule": {
            "shape": sheet.tolerance_rule.shape.value,
            "percent": sheet.tolerance_rule.percent,
            "dollars": sheet.tolerance_rule.dollars.minor,
            "cap": sheet.tolerance_rule.cap.minor,
            "words": sheet.tolerance_rule.words,
        },
        "buy_until": sheet.until.isoformat(),
        "approved_before": case.standing_cost.minor,
        "taken_before": case.taken_in.minor,
        "owner_limit": case.owner_limit.minor,
        "consumables_limit": sheet.consumables_limit.minor if sheet.consumables_limit is not None else None,
        "delegate_limit": case.delegate_limit.minor,
        "owner_unreachable": case.unreachable,
        "purpose": sheet.purpose,
        "from_restricted": sheet.from_restricted.minor,
        "share_of_free_percent": sheet.share,
        "share_one_may_approve_percent": case.share_percent,
        "free_counted": case.free_without.minor,
        "second_person": [rung.words for rung in sheet.why_two],
        "household": household_data(sheet.decision),
        "household_gives": sheet.supporter.words if sheet.supporter else "",
        "relations": [
            {"person": voice.name, "part": voice.part, "tie": voice.tie}
            for voice in (*case.chain, case.approver)
        ],
        "rules": [{"kept": check.kept, "known": check.known, "words": check.words} for check in sheet.checks],
        "position_before": position_data(sheet.before),
        "position_after": position_data(after) if after else None,
        "reason": reason,
    }


def lines_data(lines: Iterable[EstimateLine]) -> list[dict[str, Any]]:
    return [
        {
            "kind": line.kind,
            "text": line.text,
            "quantity_thousandths": line.quantity,
            "unit": line.unit,
            "condition": line.condition,
            "amount": line.amount.minor,
        }
        for line in lines
    ]


def agreed_on(cause: str, number: int, lines: list[dict[str, Any]]) -> str:
    """A fingerprint of what is being said yes to, so that a yes lapses when the estimate changes."""
    text = json.dumps([cause, number, lines], sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def mark_of(sheet: Sheet) -> str:
    """The fingerprint of what a page shows for a decision: cause, lines, their cost, and what was approved before."""
    number = sheet.request.round if sheet.request else 0
    agreed = agreed_on(sheet.repair.cause, number, lines_data(sheet.lines))
    return mark(agreed, sheet.sums.cost.minor, sheet.case.standing_cost.minor)


def position_data(position: Position) -> dict[str, Any]:
    return {
        "on": position.on.isoformat(),
        "month": position.month,
        "bank": position.bank.minor,
        "subtractions": [
            {"label": item.label, "amount": item.amount.minor} for item in position.subtractions
        ],
        "free_to_commit": position.free_to_commit.minor,
        "pots": [{"purpose": code, "left": amount.minor} for code, amount in position.pots],
    }


def household_data(decision: EligibilityDecision | None) -> dict[str, Any]:
    """The household without papers: size, table, line and verdict; never an income or a name."""
    if decision is None:
        return {}
    kept = ("size", "area", "table_year", "guideline", "percent", "within")
    return {
        "decision": decision.pk,
        "decided_on": decision.on.isoformat(),
        "decided_by": decision.decided_by.label,
        "verdict": decision.verdict,
        "valid_until": decision.valid_until.isoformat() if decision.valid_until else None,
        **{name: decision.snapshot.get(name) for name in kept},
    }
