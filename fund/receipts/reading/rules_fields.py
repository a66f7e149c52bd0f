"""From rows of print to the fields of a receipt, each with what speaks against it. Pure.

A figure is trusted only where arithmetic proves it: lines + tax = total, with a total that the paper itself calls one and
no sum on the paper that says otherwise, and where no word tells of another kind of paper (``rules_kind``). All else is a
suggestion with a doubt; the person decides.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction
from typing import TypeVar

from fund.money import Money, total
from fund.receipts.reading.rules import Row
from fund.receipts.reading.rules_kind import no_purchase
from fund.receipts.rules_rate import rate_in

T = TypeVar("T")
FIELDS = ("store", "number", "on", "lines", "tax", "total", "freight", "discount")
SURE = 0.90  # below it a piece of print is doubtful whatever else speaks for it
_AMOUNT = re.compile(
    r"(?<![\d.,/-])(-?)\s?\$?\s?(\d{1,3}(?:,\d{3})+|\d{1,6})\s?[.,]\s?(\d{2})(?!\d|[.,/]\d)(\s?-)?"
)
_DAYS = (
    (re.compile(r"(?<!\d)(20\d\d)[-/.](\d{1,2})[-/.](\d{1,2})(?!\d)"), (0, 1, 2)),
    (re.compile(r"(?<!\d)(\d{1,2})[-/.](\d{1,2})[-/.](20\d\d)(?!\d)"), (2, 0, 1)),
    (re.compile(r"(?<!\d)(\d{1,2})[-/.](\d{1,2})[-/.](\d\d)(?!\d)"), (2, 0, 1)),
)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_NAMED = (
    re.compile(r"(?<![a-z])(?P<m>[a-z]{3})[a-z]*\.?\s*(?P<d>\d{1,2})\s*,?\s*(?P<y>20\d\d)", re.I),
    re.compile(r"(?<!\d)(?P<d>\d{1,2})\s*(?P<m>[a-z]{3})[a-z]*\.?\s*,?\s*(?P<y>20\d\d)", re.I),
)
_NUMBER = re.compile(
    r"\b(?:receipt|invoice|inv|no|ticket|trans(?:action)?|sale|order|slip)\s*(?:no\b|nr\b|num(?:ber)?|id|#)?\s*[.:#]*\s*"
    r"(?P<n>[A-Z0-9][A-Z0-9-]{2,19})",
    re.I,
)
_SUBTOTAL = re.compile(r"sub\s*-?\s*tot|merchandise|net\s+amount|goods", re.I)
_TOTAL = re.compile(r"\btot[ao]l\b|amount\s*due|balance\s*due|\bto\s*pay\b", re.I)
_TAX = re.compile(r"\btax\b|sales\s*tax", re.I)
_PAID = re.compile(
    r"\b(cash|card|visa|debit|credit|tender(?:ed)?|change|paid|approved|auth|account|amount\s+paid)\b", re.I
)
_LESS = re.compile(r"discount|coupon|savings?\b|you\s+saved", re.I)
_FREIGHT = re.compile(r"shipping|freight|delivery", re.I)
_EACH = re.compile(r"(?<!\d)(\d{1,4})\s*(?:@|x|ea\b|at)\s*\$?(\d+[.,]\d\d)", re.I)


@dataclass(frozen=True, slots=True)
class ReadLine:
    """A printed line: words and amount for the whole of it."""

    text: str
    amount: Money
    sure: bool


@dataclass(frozen=True, slots=True)
class Reading:
    """What a photo says. ``doubts`` maps a field (``FIELDS``) to the sentence against it.

    ``trusted``: total, tax and lines are proved by each other. ``freight`` and ``discount`` are of the whole paper.
    ``rate`` is that of the tax where the paper prints it: 33/400 for 8.25 %.
    """

    store: str = ""
    number: str = ""
    on: date | None = None
    lines: tuple[ReadLine, ...] = ()
    tax: Money | None = None
    total: Money | None = None
    freight: Money = Money.zero
    discount: Money = Money.zero
    trusted: bool = False
    doubts: dict[str, str] | None = None
    rate: Fraction | None = None

    @property
    def says(self) -> dict[str, str]:
        return self.doubts or {}


def amounts_in(text: str) -> list[Money]:
    """The amounts of money in a row, left to right; a minus before or after counts."""
    found = []
    for sign, whole, cents, after in _AMOUNT.findall(text):
        minor = int(whole.replace(",", "")) * 100 + int(cents)
        found.append(Money(-minor if sign or after.strip() else minor))
    return found


def day_in(text: str, today: date) -> date | None:
    """The first date in a row, as US papers write it (month first), if it can be one and is not to come."""
    for day in _days(text):
        if day is not None and date(2000, 1, 1) <= day <= today:
            return day
    return None


def _days(text: str) -> Iterator[date | None]:
    for shape, (year, month, day) in _DAYS:
        for found in shape.finditer(text):
            parts = [int(part) for part in found.groups()]
            yield _day(parts[year] + (2000 if parts[year] < 100 else 0), parts[month], parts[day])
    for shape in _NAMED:
        for found in shape.finditer(text):
            name = found["m"].lower()
            if name in _MONTHS:
                yield _day(int(found["y"]), _MONTHS.index(name) + 1, int(found["d"]))


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def number_in(text: str) -> str:
    """The number that a row calls one of the receipt, or empty."""
    for found in _NUMBER.finditer(text):
        number = found["n"].strip("-")
        if any(mark.isdigit() for mark in number):
            return number
    return ""


@dataclass
class _Sums:
    """What the rows below the lines say."""

    subtotal: tuple[Money, float] | None = None
    tax: tuple[Money, float] | None = None
    total: tuple[Money, float] | None = None
    paid: list[Money] | None = None
    discount: Money = Money.zero
    freight: Money = Money.zero
    rates: set[Fraction] = field(default_factory=set)
    clash: bool = False
    unread: bool = False


def read(rows: Sequence[Row], today: date) -> Reading:
    """The fields of a receipt from its rows of print."""
    sums, lines = _Sums(paid=[]), []
    before = ""
    for row in rows:
        kind = _kind_of(row.text)
        amounts = amounts_in(row.text)
        if kind == "line":
            if sums.subtotal or sums.total:
                continue
            if amounts and (text := _words(row.text) or before):
                lines.append(ReadLine(text[:80], amounts[-1], row.score >= SURE))
            before = "" if amounts else _words(row.text)
            continue
        _add(sums, kind, amounts, row)
        before = ""
    reading = _judged(rows, lines, sums, today)
    why = no_purchase(rows)
    return _doubted(reading, why) if why else reading


def _kind_of(text: str) -> str:
    shapes = (
        ("subtotal", _SUBTOTAL), ("total", _TOTAL), ("tax", _TAX), ("discount", _LESS), ("freight", _FREIGHT), ("paid", _PAID),
    )  # fmt: skip
    if _TOTAL.search(text) and _TAX.search(text) and not _SUBTOTAL.search(text):
        return "tax" if re.search(r"total\s+(sales\s+)?tax|tax\s+total", text, re.I) else "total"
    return next((kind for kind, shape in shapes if shape.search(text)), "line")


def _words(text: str) -> str:
    words = _AMOUNT.sub(" ", _EACH.sub(" ", text))
    words = re.sub(r"(?:^|\s)[$@*#]+(?=\s|$)|\s[A-Z]$", " ", words)
    words = re.sub(r"^\W+|\s{2,}", " ", words).strip(" .:-*")
    return words if re.search(r"[A-Za-z]{2}", words) else ""


def _add(sums: _Sums, kind: str, amounts: list[Money], row: Row) -> None:
    if not amounts:
        sums.unread = sums.unread or kind in ("tax", "discount", "freight", "subtotal")
        return
    amount = amounts[-1]
    if kind == "tax" and (rate := rate_in(row.text)):
        sums.rates.add(rate)
    if kind == "paid":
        assert sums.paid is not None
        sums.paid.append(amount)
    elif kind == "discount":
        sums.discount += abs(amount)
    elif kind == "freight":
        sums.freight += amount
    elif kind == "tax":
        sums.tax = (amount + (sums.tax[0] if sums.tax else Money.zero), row.score)
    elif kind == "subtotal":
        sums.clash = sums.clash or (sums.subtotal is not None and sums.subtotal[0] != amount)
        sums.subtotal = (amount, row.score)
    else:
        sums.clash = sums.clash or (sums.total is not None and sums.total[0] != amount)
        sums.total = (amount, row.score) if sums.total is None or amount > sums.total[0] else sums.total


def _judged(rows: Sequence[Row], lines: list[ReadLine], sums: _Sums, today: date) -> Reading:
    doubts: dict[str, str] = {}
    store, store_sure = _store(rows)
    number, number_sure = _first(rows, number_in)
    on, on_sure = _first(rows, lambda text: day_in(text, today))
    for name, value, sure in (
        ("store", store, store_sure),
        ("number", number, number_sure),
        ("on", on, on_sure),
    ):
        if not value:
            doubts[name] = "Not found on the photo."
        elif not sure:
            doubts[name] = "Hard to read on the photo."
    paid = sums.total[0] if sums.total else None
    tax = sums.tax[0] if sums.tax else None
    why = _why_not(lines, sums)
    if why:
        for name, there in (("lines", bool(lines)), ("tax", tax is not None), ("total", paid is not None)):
            doubts[name] = why if there else "Not found on the photo."
    rate = sums.rates.pop() if len(sums.rates) == 1 else None
    return Reading(
        store, number or "", on, tuple(lines), tax, paid, sums.freight, sums.discount, not why, doubts, rate
    )


def _doubted(reading: Reading, why: str) -> Reading:
    """All of a paper doubted for one reason; what was not found stays not found."""
    there = {name: getattr(reading, name) for name in FIELDS}
    doubts = {name: why for name, value in there.items() if value not in (None, "", (), Money.zero)}
    lines = tuple(replace(line, sure=False) for line in reading.lines)
    return replace(reading, lines=lines, trusted=False, doubts={**reading.says, **doubts})


def _why_not(lines: list[ReadLine], sums: _Sums) -> str:
    """Why the amounts are not proved by each other, or empty. Every test here is against trusting a wrong total."""
    if sums.total is None or not lines:
        return "Lines or total were not found on the photo."
    amount, score = sums.total
    tax = sums.tax[0] if sums.tax else Money.zero
    read_sum = total(line.amount for line in lines) + sums.freight - sums.discount
    if any(line.amount < Money.zero for line in lines):
        return "A line is below zero: a return, or a discount?"
    if read_sum + tax != amount:
        return f"Lines {read_sum} + tax {tax} = {read_sum + tax}, but the total reads {amount}."
    if sums.clash or sums.unread:
        return "Two sums on the paper differ, or one could not be read."
    if score < SURE or (sums.tax and sums.tax[1] < SURE) or not all(line.sure for line in lines):
        return "It adds up, but some of the print is hard to read."
    if sums.subtotal and sums.subtotal[0] not in (
        read_sum,
        read_sum - sums.freight,
        read_sum + sums.discount,
    ):
        return f"The lines add up to {read_sum}, but the paper's own sum of them reads {sums.subtotal[0]}."
    again = [*(sums.paid or []), *([sums.subtotal[0]] if sums.subtotal else [])]
    if sums.tax is None and amount not in again:
        return "No tax was found, and nothing else on the paper says the same total."
    if len(lines) == 1 and not sums.subtotal and amount not in (sums.paid or []):
        return "One line alone proves little; nothing else on the paper says the same."
    return ""


def _store(rows: Sequence[Row]) -> tuple[str, bool]:
    """The first row with letters that is no date, number or amount: papers begin with the store's name."""
    for row in rows[:5]:
        words = re.sub(r"\s+", " ", row.text).strip(" *-=#")
        if len(re.findall(r"[A-Za-z]", words)) >= 4 and not amounts_in(words) and not number_in(words):
            return words[:60], row.score >= SURE
    return "", False


def _first(rows: Sequence[Row], find: Callable[[str], T | None]) -> tuple[T | None, bool]:
    for row in rows:
        if found := find(row.text):
            return found, row.score >= SURE
    return None, False
