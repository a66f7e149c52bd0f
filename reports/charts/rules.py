"""What each chart of a month shows: its words, its figures and its data table, from the record alone. Nothing is drawn here."""

import calendar
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fund.money import Money

Cell = str | Money


@dataclass(frozen=True, slots=True)
class Series:
    """One row of bars or one line. Values in cents (money, shares of a dollar) or tenths (hours)."""

    label: str
    values: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart with everything a reader who cannot see it needs. ``kind`` names how it is drawn.

    ``places`` are the labels along it. The table repeats every figure in the drawing.
    """

    name: str
    kind: str
    title: str
    alt: str
    places: tuple[str, ...]
    series: tuple[Series, ...]
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def month_name(key: str) -> str:
    """``2026-03`` as ``March 2026``."""
    return f"{calendar.month_name[int(key[5:])]} {key[:4]}"


def month_short(key: str) -> str:
    """``2026-03`` as ``Mar``; a January carries its year on a second line."""
    name = calendar.month_abbr[int(key[5:])]
    return f"{name}\n{key[:4]}" if key.endswith("-01") else name


def charts(record: Mapping[str, Any]) -> list[Chart]:
    """The four charts of a published month, in the order of the page."""
    return [money_chart(record), balance_chart(record), dollar_chart(record), hours_chart(record)]


def _places(history: Sequence[Mapping[str, Any]]) -> tuple[str, ...]:
    labels = [month_short(line["month"]) for line in history]
    if history and "\n" not in labels[0]:
        labels[0] += f"\n{history[0]['month'][:4]}"
    return tuple(labels)


def _span(history: Sequence[Mapping[str, Any]]) -> str:
    first, last = month_name(history[0]["month"]), month_name(history[-1]["month"])
    return f"in {last}" if first == last else f"for each month from {first} to {last}"


def money_chart(record: Mapping[str, Any]) -> Chart:
    history = record["history"]
    now = history[-1]
    money_in, money_out = Money(now["money_in"]), Money(now["money_out"])
    return Chart(
        name="money",
        kind="bars",
        title="Money in and money out",
        alt=(
            f"Two bars {_span(history)}: money in and money out. "
            f"In {month_name(now['month'])}, {money_in.dollars} came in and {money_out.dollars} went out."
        ),
        places=_places(history),
        series=(
            Series("Money in", tuple(line["money_in"] for line in history)),
            Series("Money out", tuple(line["money_out"] for line in history)),
        ),
        heads=("Month", "Money in", "Money out"),
        rows=tuple(
            (month_name(line["month"]), Money(line["money_in"]), Money(line["money_out"])) for line in history
        ),
    )


def balance_chart(record: Mapping[str, Any]) -> Chart:
    history = record["history"]
    now = history[-1]
    closing, restricted, bank = Money(now["closing"]), Money(now["restricted"]), Money(now["bank"])
    return Chart(
        name="balance",
        kind="stack",
        title="What the fund held at the end of each month",
        alt=(
            f"A bar {_span(history)}, in two parts: money for any repair, and money given for a stated purpose. "
            f"A line shows the bank. At the end of {month_name(now['month'])} the fund held {closing.dollars}, "
            f"{restricted.dollars} of it for a stated purpose, with {bank.dollars} in the bank."
        ),
        places=_places(history),
        series=(
            Series("For any repair", tuple(line["closing"] - line["restricted"] for line in history)),
            Series("For a stated purpose", tuple(line["restricted"] for line in history)),
            Series("Bank", tuple(line["bank"] for line in history)),
        ),
        heads=("Month", "For any repair", "For a stated purpose", "Together", "Bank"),
        rows=tuple(
            (
                month_name(line["month"]),
                Money(line["closing"] - line["restricted"]),
                Money(line["restricted"]),
                Money(line["closing"]),
                Money(line["bank"]),
            )
            for line in history
        ),
    )


def dollar_chart(record: Mapping[str, Any]) -> Chart:
    parts = record["dollar"]
    amounts = {row["key"]: row["amount"] for row in record["money_out"]}
    month = month_name(record["month"])
    if parts:
        listed = ", ".join(f"{part['cents']} cents for {lower_first(part['label'])}" for part in parts)
        alt = f"Where each dollar spent in {month} went: {listed}. Together 100 cents."
    else:
        alt = f"Nothing was spent in {month}."
    return Chart(
        name="dollar",
        kind="shares",
        title=f"Where a dollar went in {month}",
        alt=alt,
        places=tuple(part["label"] for part in parts),
        series=(Series("Cents of each dollar", tuple(part["cents"] for part in parts)),),
        heads=("Spent on", "Amount", "Cents of each dollar"),
        rows=tuple((part["label"], Money(amounts[part["key"]]), str(part["cents"])) for part in parts),
    )


def hours_chart(record: Mapping[str, Any]) -> Chart:
    history = record["history"]
    now = history[-1]
    return Chart(
        name="hours",
        kind="hours",
        title="Hours the crew gave",
        alt=(
            f"A bar {_span(history)}: hours given by the crew. In {month_name(now['month'])} they gave "
            f"{tenths_text(now['hours_tenths'])} hours. Hours are not money and are in no other chart."
        ),
        places=_places(history),
        series=(Series("Hours", tuple(line["hours_tenths"] for line in history)),),
        heads=("Month", "Hours given", "Worth at the stated rate"),
        rows=tuple(
            (month_name(line["month"]), tenths_text(line["hours_tenths"]), Money(line["hours_value"]))
            for line in history
        ),
    )


def tenths_text(tenths: int) -> str:
    whole, rest = divmod(abs(tenths), 10)
    return f"{'-' if tenths < 0 else ''}{whole:,}.{rest}"


def lower_first(label: str) -> str:
    return label[:1].lower() + label[1:]
