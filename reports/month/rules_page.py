"""From a published record to what its page and its printed sheet say. No database here.

The page is drawn from these words and the record's own figures; templates add nothing but layout.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from fund.money import Money
from reports.charts.rules import charts, month_name, tenths_text

WAITING = "Requests waiting at the end of the month"


def page_of(record: Mapping[str, Any], digest: str) -> dict[str, Any]:
    """Everything the month's page needs, from the record alone."""
    turning = record["opening"] + record["total_in"]
    return {
        "record": record,
        "digest": digest,
        "name": month_name(record["month"]),
        "fund_name": record["rules"]["fund_name"],
        "turning": turning,
        "charts": charts(record),
        "counts": count_lines(record["counts"]),
        "waiting": (WAITING, span_words(record["counts"]["waiting"])),
        "signed": signed(record["people"]),
        "repairs_cost": sum(repair["cost"] for repair in record["repairs"]) + record["loose_repair_cost"],
        "repairs_tenths": sum(repair["clock_tenths"] for repair in record["repairs"]),
        "restricted": [purpose for purpose in record["purposes"] if purpose["restricted"]],
    }


def count_lines(counts: Mapping[str, Any]) -> list[tuple[str, str]]:
    """(what, how many in words); a count that is too small to show is given as a span."""
    return [
        (words, span_words(counts[key]))
        for key, words in (
            ("asked", "Households who asked for help"),
            ("helped", "Vehicles handed back"),
            ("declined", "Requests declined"),
            ("waiting", WAITING),
        )
    ]


def span_words(count: int | Sequence[int]) -> str:
    if isinstance(count, int):
        return str(count)
    low, high = count
    return str(low) if low == high else f"from {low} to {high}"


def signed(people: Mapping[str, Any]) -> str:
    """Who prepared and who reviewed, in a sentence; plainly said when it was one person."""
    if people["independent"]:
        return f"Prepared by {people['prepared_by']}. Reviewed by {people['reviewed_by']}."
    return (
        f"Not independently reviewed: {people['prepared_by']} prepared and reviewed this month. "
        f"The reason given: {people['reason']}"
    )


def show(minor: int) -> str:
    return str(Money(minor)).replace("-", "\u2212")


def pdf_of(record: Mapping[str, Any], digest: str) -> dict[str, Any]:
    """The record as the strings of the printed sheet."""
    page = page_of(record, digest)
    return {
        "title": f"{page['fund_name']}: {page['name']}",
        "fund": page["fund_name"],
        "name": page["name"],
        "lead": lead(record),
        **money_sides(record),
        "turning": show(page["turning"]),
        "repairs": [_repair(repair) for repair in record["repairs"]],
        "repairs_total": [show(page["repairs_cost"]), tenths_text(page["repairs_tenths"])],
        "loose": show(record["loose_repair_cost"]) if record["loose_repair_cost"] else "",
        "holdings": [
            [row["label"], show(row["opening"]), show(row["closing"])] for row in record["holdings"]
        ],
        "holdings_total": [show(record["opening"]), show(record["closing"])],
        "purposes": [_purpose(row) for row in record["purposes"]],
        "promise": [
            ["In the bank", show(record["promise"]["bank"])],
            *[[row["label"], show(-row["amount"])] for row in record["promise"]["subtractions"]],
        ],
        "free": show(record["promise"]["free_to_commit"]),
        "hours": [_hours(row) for row in record["hours"]["rows"]],
        "hours_total": [tenths_text(record["hours"]["tenths"]), show(record["hours"]["value"])],
        "counts": [list(line) for line in page["counts"]],
        "later": [_later(change) for change in record["later_changes"]],
        "charts": [
            {"file": f"{chart.name}.svg", "title": chart.title, "alt": chart.alt} for chart in page["charts"]
        ],
        "signed": page["signed"],
        "published_on": record["published_on"],
        "digest": digest,
    }


def money_sides(record: Mapping[str, Any]) -> dict[str, list[list[str]]]:
    """The two sides of the money table, one as long as the other, as on facing pages of an account book."""
    into, out = _rows(record["money_in"]), _rows(record["money_out"])
    longest = max(len(into), len(out))
    return {
        "money_in": [
            *into,
            *[["", ""]] * (longest - len(into)),
            ["In during the month", show(record["total_in"])],
            ["In hand at the start", show(record["opening"])],
        ],
        "money_out": [
            *out,
            *[["", ""]] * (longest - len(out)),
            ["Out during the month", show(record["total_out"])],
            ["In hand at the end", show(record["closing"])],
        ],
    }


def lead(record: Mapping[str, Any]) -> str:
    """The month in one sentence or two."""
    said = (
        f"The fund began {month_name(record['month'])} with ${show(record['opening'])}, took in "
        f"${show(record['total_in'])}, spent ${show(record['total_out'])} and ended with ${show(record['closing'])}."
    )
    free = record["promise"]["free_to_commit"]
    return f"{said} Of that, ${show(free)} could still be promised to repairs." if free > 0 else said


def _rows(rows: Sequence[Mapping[str, Any]]) -> list[list[str]]:
    return [[row["label"], show(row["amount"])] for row in rows]


def repair_notes(repair: Mapping[str, Any]) -> list[str]:
    """What is to be said beside a repair's line: other months' cost, promises, deposits out, an overspend."""
    notes = []
    if repair["cost_to_date"] != repair["cost"]:
        notes.append(f"{show(repair['cost_to_date'])} with earlier months")
    if repair["promised"]:
        notes.append(f"{show(repair['promised'])} promised and not yet spent")
    if repair["cores_out"]:
        notes.append(f"core deposit of {show(repair['cores_out'])} still out")
    if repair.get("ratified"):
        notes.append(f"{show(repair['ratified'])} over what was approved, ratified")
    return notes


def _repair(repair: Mapping[str, Any]) -> list[str]:
    book = tenths_text(repair["book_tenths"]) if repair["book_tenths"] is not None else "–"
    told = " ".join([repair["story"], *(f"({note})" for note in repair_notes(repair))])
    return [
        ", ".join(part for part in (repair["alias"], repair["vehicle"]) if part),
        told,
        repair["state"],
        f"{tenths_text(repair['clock_tenths'])} / {book}",
        show(repair["cost"]),
    ]


def _purpose(row: Mapping[str, Any]) -> list[str]:
    return [
        row["name"],
        *(show(row[key]) for key in ("opening", "money_in", "released", "money_out", "closing")),
    ]


def _hours(row: Mapping[str, Any]) -> list[str]:
    rate = show(row["rate"]) if row["rate"] is not None else "not valued"
    return [
        row["skill"],
        tenths_text(row["tenths"]),
        rate,
        show(row["value"]) if row["rate"] is not None else "",
    ]


def _later(change: Mapping[str, Any]) -> list[str]:
    about = f"{change['label']}, {change['alias']}" if change["alias"] else change["label"]
    story = ""
    if change["published"] is not None and change["published"] != change["now"]:
        story = f"as published {show(change['published'])}, now {show(change['now'])}"
    return [month_name(change["concerns"]), about, story, show(change["amount"])]
