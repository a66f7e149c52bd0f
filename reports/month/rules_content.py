"""From the figures of a month to the content of its published record. No database here.

The record holds everything a public page, chart, PDF or reader needs: money as whole minor units, hours as whole
tenths, counts only as far as they may be shown. Nothing is added to it later.
"""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from reports.month.rules import PurposeRoll, RepairLine, Row, cost_summary, dollar_split
from reports.month.rules_figures import Counts, Figures, LaterChange, Turnover
from reports.month.rules_privacy import shown_spans
from reports.month.rules_record import FORMAT

HISTORY_MONTHS = 13  # this month, and the twelve before it: a year ago stays in sight


def content(
    figures: Figures,
    *,
    version: int,
    previous: Mapping[str, Any] | None,
    previous_digest: str | None,
    lines_sha256: str,
    people: Mapping[str, Any],
    published_on: date,
) -> dict[str, Any]:
    """The record of a month. ``previous`` is the record published before it, which lends its history."""
    ledger = figures.ledger
    record = {
        "format": FORMAT,
        "month": figures.month,
        "version": version,
        "previous_month": previous["month"] if previous else None,
        "previous_digest": previous_digest,
        "published_on": published_on.isoformat(),
        "people": dict(people),
        "rules": dict(figures.rules),
        "income_line": dict(figures.income_line) if figures.income_line else None,
        "opening": ledger.opening.minor,
        "money_in": rows_content(ledger.money_in),
        "total_in": ledger.total_in.minor,
        "money_out": rows_content(ledger.money_out),
        "total_out": ledger.total_out.minor,
        "closing": ledger.closing.minor,
        "holdings": [
            {
                "account": row.account,
                "label": row.label,
                "opening": row.opening.minor,
                "closing": row.closing.minor,
            }
            for row in ledger.holdings
        ],
        "purposes": [_purpose(roll) for roll in ledger.purposes],
        "bank": _turnover(figures.bank),
        "shelf": _turnover(figures.shelf),
        "cores_out": figures.cores_out.minor,
        "repairs": [content_of_repair(line) for line in figures.repairs],
        "loose_repair_cost": figures.loose_cost.minor,
        "repair_costs": _summary(figures.repairs),
        "promise": {
            "bank": figures.promise.bank.minor,
            "subtractions": rows_content(figures.promise.subtractions),
            "free_to_commit": figures.promise.free.minor,
        },
        "dollar": [
            {"key": row.key, "label": row.label, "cents": cents}
            for row, cents in dollar_split(ledger.money_out)
        ],
        "hours": _hours(figures),
        "counts": _counts(figures.counts),
        "later_changes": [_later(change) for change in figures.later],
        "later_moves": figures.later_moves,
        "lines_sha256": lines_sha256,
    }
    record["history"] = _history(record, previous)
    return record


def rows_content(rows: Iterable[Row]) -> list[dict[str, Any]]:
    return [{"key": row.key, "label": row.label, "amount": row.amount.minor} for row in rows]


def _purpose(roll: PurposeRoll) -> dict[str, Any]:
    return {
        "code": roll.code,
        "name": roll.name,
        "restricted": roll.restricted,
        "opening": roll.opening.minor,
        "money_in": roll.money_in.minor,
        "released": roll.released.minor,
        "money_out": roll.money_out.minor,
        "closing": roll.closing.minor,
    }


def _turnover(turn: Turnover) -> dict[str, int]:
    return {
        "opening": turn.opening.minor,
        "in": turn.more.minor,
        "out": turn.less.minor,
        "closing": turn.closing.minor,
    }


def content_of_repair(line: RepairLine) -> dict[str, Any]:
    """One repair as the record holds it."""
    # The repair order's number stays out: it is on a sheet the household holds.
    return {
        "alias": line.alias,
        "vehicle": line.vehicle,
        "job": line.job,
        "story": line.story,
        "state": line.state,
        "costs": rows_content(line.costs),
        "cost": line.cost.minor,
        "cost_to_date": line.cost_to_date.minor,
        "promised": line.promised.minor,
        "cores_out": line.cores_out.minor,
        "clock_tenths": line.clock_tenths,
        "book_tenths": line.book_tenths,
        "ratified": line.ratified.minor,
    }


def _summary(repairs: Iterable[RepairLine]) -> dict[str, int] | None:
    summary = cost_summary([line.cost_to_date for line in repairs if line.state == "handed back"])
    return (
        dict(zip(("median", "lowest", "highest"), (cost.minor for cost in summary), strict=True))
        if summary
        else None
    )


def _hours(figures: Figures) -> dict[str, Any]:
    return {
        "rows": [
            {
                "skill": row.skill,
                "tenths": row.tenths,
                "rate": row.rate.minor if row.rate else None,
                "value": row.value.minor,
                "basis": row.basis,
            }
            for row in figures.hours
        ],
        "tenths": figures.tenths,
        "value": figures.hours_value.minor,
        "posted": figures.labor_posted.minor,
    }


def _counts(counts: Counts) -> dict[str, Any]:
    """Counts of requests as spans [from, to]. Repairs handed back are told one by one, so their number is no secret."""
    spans = shown_spans({"asked": counts.asked, "declined": counts.declined}, counts.waiting)
    return {
        **{key: list(span) for key, span in spans.items()},
        "helped": counts.helped,
        "comebacks": counts.comebacks,
    }


def _later(change: LaterChange) -> dict[str, Any]:
    return {
        "concerns": change.concerns,
        "label": change.label,
        "amount": change.amount.minor,
        "alias": change.alias,
        "published": change.published.minor if change.published is not None else None,
        "now": change.now.minor if change.now is not None else None,
    }


def _history(record: Mapping[str, Any], previous: Mapping[str, Any] | None) -> list[dict[str, Any]]:
    """One line a month for the charts, oldest first; the last line is this month."""
    restricted = sum(roll["closing"] for roll in record["purposes"] if roll["restricted"])
    this = {
        "month": record["month"],
        "money_in": record["total_in"],
        "money_out": record["total_out"],
        "closing": record["closing"],
        "restricted": restricted,
        "bank": record["bank"]["closing"],
        "hours_tenths": record["hours"]["tenths"],
        "hours_value": record["hours"]["value"],
    }
    before = list(previous["history"]) if previous else []
    return [*before, this][-HISTORY_MONTHS:]
