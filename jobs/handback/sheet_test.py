"""The road test's part of the hand-back sheet, from its frozen figures alone."""

from datetime import date
from typing import Any

from fund.receipts.quantities import number_words, quantity_words
from jobs.handback.rules import Result, count
from jobs.hours.rules import day


def test_rows(test: dict[str, Any] | None) -> list[list[str]]:
    """Label and words for each row; what was not read or written has none."""
    if test is None:
        return [["Result", "Not road-tested: the vehicle is not safe to drive"]]
    on = day(date.fromisoformat(test["on"]))
    driven = f"{on}, {count(test['minutes'], 'minute')}, {count(test['miles'], 'mile')}"
    told = [
        count(figure, unit)
        for figure, unit in ((test["owner_minutes"], "minute"), (test["owner_miles"], "mile"))
        if figure is not None
    ]
    rows = [
        ["Driven", driven],
        ["Route", test["route"]],
        ["Your fault showed after", " or ".join(told) if test["intermittent"] else ""],
        ["Result", _result(test)],
        ["Wheel nuts", f"{test['wheel_torque_lbft']} lb-ft" if test["wheel_torque_lbft"] else ""],
        *[["Fluid", _fluid(row)] for row in test["fluids"]],
        ["Codes before", test["codes_before"]],
        ["Codes cleared", test["codes_cleared"]],
        ["Codes still pending", test["codes_pending"]],
        ["Monitors", " ".join(filter(None, [test["readiness"], test["monitors"]]))],
    ]
    if test["driver"] == test["signed_by"]:
        rows.append(["Driven and signed by", test["driver"]])
    else:
        rows += [["Driven by", test["driver"]], ["Signed by", test["signed_by"]]]
    return [row for row in rows if row[1]]


def _result(test: dict[str, Any]) -> str:
    if test["result"] == Result.NOT_DUPLICATED:
        return f"Could not duplicate; conditions tested: {test['note']}"
    return "Passed, every safety line yes"


def _fluid(row: dict[str, Any]) -> str:
    parts = [f"{quantity_words(row['put_in'], 'quart')} in"]
    if row["out"] is not None:
        parts.insert(0, f"{number_words(row['out'])} out")
    if row["added"]:
        parts.append(f"{number_words(row['added'])} more after the drive")
    heat = f" at {row['temp_f']} °F" if row["temp_f"] is not None else ""
    return f"{row['fluid']}: {', '.join(parts)}; level {row['level']}{heat}"
