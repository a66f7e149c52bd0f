"""The hand-back sheet: first every figure as a frozen dictionary, then the page made from it alone."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from fund.ledger.queries import cost_of
from fund.money import Money
from fund.pdf import render_pdf
from fund.rulebook.queries import rules_on
from jobs.handback.cautions import MAKER_FIRST
from jobs.handback.models import READINESS, ROUTES, HandBack, RoadTest
from jobs.handback.models_proof import CheckList
from jobs.handback.parts import deposits_of, parts_of
from jobs.handback.queries_proof import standing_refusals
from jobs.handback.rules import SIGNING, count
from jobs.handback.rules_door import is_door_line
from jobs.handback.rules_proof import NONE, Due
from jobs.handback.sheet_test import test_rows
from jobs.hours.models import Rate
from jobs.hours.queries import hours_of_repair, rates_used
from jobs.hours.rules import day, hours_text
from jobs.repairs.models import RepairOrder

FORGOTTEN = "No longer kept: the time to keep the household's own words is over."
CONDITIONS = {"new": "new", "reman": "remanufactured", "used": "used"}


def snapshot(
    *,
    repair: RepairOrder,
    test: RoadTest | None,
    checked: CheckList,
    due: Sequence[Due],
    odometer: int,
    on: date,
    by: str,
    not_done: Sequence[str],
    care: Sequence[str],
    signed: str = "",
) -> dict[str, Any]:
    """Every figure of a hand-back as JSON values; money in minor units, hours in tenths, distances in miles.

    The parts add up to the repair's cash cost in the books; donated hours and deposits stand apart. ``signed`` is how
    the owner signed on the screen (``Signature.how``). Their name and signature are not among the figures: the sheet
    is kept for good and seen by all of the crew, they are sealed and go with the household's data. So does the complaint,
    in their own words (``HandBack.complaint``).
    """
    rules = rules_on(on)
    hours = hours_of_repair(repair)
    vehicle = repair.vehicle
    cost = cost_of(repair.number)
    return {
        "fund": rules["fund_name"],
        "town": rules["town"],
        "number": repair.number,
        "vehicle": " ".join(filter(None, [str(vehicle.year), vehicle.make_model, repair.vehicle_class])),
        "opened_on": str(repair.opened_on),
        "on": str(on),
        "odometer": odometer,
        "by": by,
        "cause": repair.cause,
        "correction": repair.correction,
        "cost": cost.minor,
        "parts": [
            {"text": part.text, "condition": part.condition, "cost": part.cost.minor}
            for part in parts_of(repair, cost)
        ],
        "deposits": [
            {"text": core.text, "amount": core.amount.minor, "stands": core.stands}
            for core in deposits_of(repair)
        ],
        "hours": {
            "tenths": hours.tenths,
            "skilled_tenths": hours.skilled_tenths,
            "value": hours.value.minor,
            "rates": [
                {"skill": skill, "rate": rate.minor, "source": _ground(skill, rate)}
                for skill, rate in rates_used(repair)
            ],
        },
        "test": _test(test) if test else None,
        "checked": {
            "on": str(checked.on),
            "by": checked.by.label,
            "job_type": checked.job_type,
            "lines": checked.lines,
        },
        "refused": [{"text": row.text, "on": str(row.on)} for row in standing_refusals(repair)],
        "due": [{"on": str(row.on), "text": row.text} for row in due],
        "not_done": list(not_done),
        "care": list(care),
        "signed": signed,
    }


def _ground(skill: str, rate: Money) -> str:
    row = Rate.objects.filter(skill__name=skill, amount=rate).order_by("-valid_from").first()
    return f"{row.basis}; {row.source}" if row else ""


def _test(test: RoadTest) -> dict[str, Any]:
    fluids = [
        {
            "fluid": row.get_fluid_display(), "out": row.out, "put_in": row.put_in, "added": row.added,
            "level": row.get_level_display(), "temp_f": row.temp_f,
        }
        for row in test.fluids.exclude(level=NONE)
    ]  # fmt: skip
    return {
        "on": str(test.on),
        "driver": test.driver.label,
        "minutes": test.minutes,
        "miles": test.miles,
        "route": dict(ROUTES)[test.route],
        "intermittent": test.intermittent,
        "owner_minutes": test.owner_minutes,
        "owner_miles": test.owner_miles,
        "result": test.result,
        "note": test.note,
        "codes_before": test.codes_before,
        "codes_cleared": test.codes_cleared,
        "codes_pending": test.codes_pending,
        "readiness": "" if test.readiness == "not read" else dict(READINESS)[test.readiness],
        "monitors": test.monitors,
        "fluids": fluids,
        "wheel_torque_lbft": test.wheel_torque_lbft,
        "signed_by": test.signed_by.label,
    }


def page_data(facts: dict[str, Any], complaint: str) -> dict[str, Any]:
    """The strings of the printed page, from the frozen figures and the complaint as it was told."""
    return {
        "title": f"Hand-back sheet {facts['number']}",
        "foot": f"{facts['fund']}, {facts['town']}",
        "fund": facts["fund"],
        "owe": f"You owe {Money.zero.dollars}",
        "head": [
            ["Vehicle", facts["vehicle"]],
            ["Came in, went back", f"{_day(facts['opened_on'])}, {_day(facts['on'])}"],
            ["Odometer at hand-back", f"{facts['odometer']:,} miles"],
        ],
        "complaint": complaint or FORGOTTEN,
        "cause": facts["cause"] or "Not found.",
        "correction": facts["correction"] or "Nothing was changed.",
        "parts": [
            [part["text"], CONDITIONS.get(part["condition"], ""), str(Money(part["cost"]))]
            for part in facts["parts"]
        ],
        "cost": str(Money(facts["cost"])),
        "deposits": [
            f"{core['text']} {Money(core['amount']).dollars}, {core['stands']}" for core in facts["deposits"]
        ],
        "hours": _hours(facts["hours"]),
        "test": test_rows(facts["test"]),
        "checked": _checked(facts["checked"]),
        "refused": [
            f"Not safe: {row['text']}. You refused the work and signed so on {_day(row['on'])}. "
            "Do not drive it."
            for row in facts["refused"]
        ],
        "due": [f"{_day(row['on'])}: {row['text'].rstrip('.')}" for row in facts["due"]],
        "not_done": facts["not_done"],
        "care": facts["care"],
        "maker_first": MAKER_FIRST,
        "by": facts["by"],
        "signing": SIGNING,
        "signed": _signed(facts),
    }


def _signed(facts: dict[str, Any]) -> str:
    """What stands instead of the line for the owner where they signed on the screen."""
    if not facts["signed"]:
        return ""
    return f"Signed by the owner on the screen on {_day(facts['on'])}; kept with the household's papers."


def _hours(hours: dict[str, Any]) -> str:
    if not hours["tenths"]:
        return "No hours were recorded."
    text = f"The crew gave {hours_text(hours['tenths'])} hours."
    if not hours["skilled_tenths"]:
        return f"{text} They are a gift and cost nobody money."
    grounds = " ".join(
        f"{row['skill']}: {Money(row['rate']).dollars} an hour"
        + (f" ({row['source']})." if row["source"] else ".")
        for row in hours["rates"]
    )
    value = Money(hours["value"]).dollars
    return (
        f"{text} Bought, the {hours_text(hours['skilled_tenths'])} skilled ones would have cost {value}; "
        f"they are a gift and are not in the cost above. {grounds}"
    )


def _checked(checked: dict[str, Any]) -> str:
    """Who looked the work over, and what did not apply or comes later."""
    told = (
        f"{count(len(checked['lines']), 'point')} gone through by {checked['by']} on {_day(checked['on'])}."
    )
    rows = [row for row in checked["lines"] if row["answer"] != "yes"]
    # What came in wrong and was not put right stands under what was not done.
    later = [f"{row['text']} ({row['note']})" for row in rows if not is_door_line(row["text"])]
    return f"{told} Not asked of this vehicle: {'; '.join(later)}." if later else told


def _day(iso: str) -> str:
    return day(date.fromisoformat(iso))


def sheet_pdf(facts: dict[str, Any], complaint: str) -> bytes:
    """The one-page PDF of a frozen hand-back."""
    return render_pdf("handback", page_data(facts, complaint))


def kept_or_redrawn(row: HandBack) -> bytes:
    """The sheet as it was given; after the household was forgotten, one of the same figures without its words."""
    return bytes(row.sheet) or sheet_pdf(row.snapshot, row.complaint)
