"""What was read on a photo put into the posted form. What a person typed is never written over."""

import json
from collections.abc import Iterable, Mapping
from typing import Any

from django.forms import BoundField

from fund import clock
from fund.money import Money
from fund.receipts.homes import HOMES
from fund.receipts.reading.rules_fields import Reading
from fund.receipts.rules_rate import kind_of, taxed_by_rate

Doubts = dict[str, tuple[str, str]]
"""Name of a box: (the doubtful value in it, why). A box whose value has been changed is doubtful no more."""
NOT_PROVED = "not proved by the sum."
HARD = "hard to read."
TAXED = "is the core deposit taxed? The tax comes to no rate that tells."


def fill(data: Any, reading: Reading, most: int) -> Doubts:
    """``data`` is a copy of what was posted; ``most`` is how many rows the form takes. Returns the doubtful boxes."""
    head = {"store": reading.store, "number": reading.number, "tax": reading.tax, "total": reading.total}
    head |= {"freight": reading.freight or "", "discount": reading.discount or ""}
    doubts: Doubts = {}
    for name, value in head.items():
        if str(data.get(name, "")).strip():
            continue
        if value not in (None, ""):
            data[name] = str(value)
        if name in reading.says:
            doubts[name] = (str(data.get(name, "")).strip(), reading.says[name])
    if data.get("on", "") in ("", clock.today().isoformat()):
        if reading.on:
            data["on"] = reading.on.isoformat()
        if "on" in reading.says:
            doubts["on"] = (data.get("on", ""), reading.says["on"])
    if not any(
        str(data.get(f"lines-{number}-{name}", "")).strip()
        for number in range(_rows(data))
        for name in ("text", "amount")
    ):
        doubts |= _fill_lines(data, reading, most)
    return doubts


def _fill_lines(data: Any, reading: Reading, most: int) -> Doubts:
    lines, doubts = reading.lines[:most], Doubts()
    kinds = [(line.amount, kind_of(line.text)) for line in reading.lines]
    taxed = taxed_by_rate(kinds, reading.tax or Money.zero, reading.freight, reading.discount, reading.rate)
    for number, (line, (_, kind)) in enumerate(zip(lines, kinds, strict=False)):
        data[f"lines-{number}-text"], data[f"lines-{number}-amount"] = line.text, str(line.amount)
        told = taxed.get(kind, True)
        data[f"lines-{number}-taxed"] = "" if told is False else "on"
        if kind == "core" and not data.get(f"lines-{number}-home"):
            data[f"lines-{number}-home"] = "core"
        if kind == "core" and told is None and reading.tax:
            doubts[f"lines-{number}-taxed"] = ("on", TAXED)
        if not line.sure or "lines" in reading.says:
            doubts[f"lines-{number}-amount"] = (str(line.amount), NOT_PROVED if line.sure else HARD)
    data["lines-TOTAL_FORMS"] = str(max(_rows(data), len(lines)))
    return doubts


def send_lines(data: Any) -> None:
    """Send every line that says nothing else where all lines go. A core goes with the repair, as a deposit."""
    home, repair = data.get("all_home", ""), data.get("all_repair", "")
    if home not in HOMES:
        return
    for number in range(_rows(data)):
        row = f"lines-{number}-"
        if not any(str(data.get(f"{row}{name}", "")).strip() for name in ("text", "amount")):
            continue
        if not data.get(f"{row}home"):
            data[f"{row}home"] = home
        takes = HOMES.get(data[f"{row}home"])
        if repair and takes and takes.repair != "no" and not data.get(f"{row}repair"):
            data[f"{row}repair"] = repair


def _rows(data: Any) -> int:
    text = str(data.get("lines-TOTAL_FORMS", "0"))
    return int(text) if text.isdecimal() and len(text) < 4 else 0


def kept(text: str) -> Doubts:
    """The doubts that travel with the form, as :func:`travelling` wrote them; nothing of what is no such thing."""
    try:
        found = json.loads(text or "{}")
        return {str(name): (str(value), str(why)) for name, (value, why) in found.items()}
    except (ValueError, TypeError, AttributeError):
        return {}


def travelling(doubts: Doubts) -> str:
    return json.dumps(doubts)


def still(doubts: Doubts, data: Mapping[str, Any]) -> Doubts:
    """Those whose box still holds the value that was doubted."""
    return {name: row for name, row in doubts.items() if str(data.get(name, "")).strip() == row[0]}


def mark(boxes: Iterable[BoundField], doubts: Doubts) -> None:
    """Put the doubt beside its box, for the eye and for a screen reader."""
    for box in boxes:
        if box.html_name in doubts:
            box.field.doubt = doubts[box.html_name][1]  # type: ignore[attr-defined]
            ids = [f"{box.auto_id}_helptext"] if box.field.help_text else []
            box.field.widget.attrs["aria-describedby"] = " ".join([*ids, f"{box.auto_id}_doubt"])


def doubts_of(reading: Reading) -> list[str]:
    """One sentence for each field that a person must look at, in the order of the form."""
    names = {
        "store": "Store", "number": "Receipt number", "on": "Date", "lines": "Lines", "tax": "Tax", "total": "Total",
    }  # fmt: skip
    told: dict[str, list[str]] = {}
    for name, words in names.items():
        if name in reading.says:
            told.setdefault(reading.says[name], []).append(words)
    doubts = [f"{', '.join(fields)}: {why}" for why, fields in told.items()]
    unsure = [line.text for line in reading.lines if not line.sure]
    return doubts + ([f"Hard to read: {'; '.join(unsure)}."] if unsure else [])
