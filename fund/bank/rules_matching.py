"""Which lines of the statement are which entries of the books. Suggestions only, each with its reason. Pure.

Strictest first: amount and reference, amount and day, one line to the sum of several entries, several lines to one. The
windows of days are common practice: card payouts and deposits show within three weeks, checks may take four months.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from rapidfuzz.fuzz import token_set_ratio

from fund.bank.rules import AMOUNT, EXACT, SEVERAL
from fund.bank.rules_sums import find_sum
from fund.money import Money, total

BOOKED_AFTER = 5  # days that an entry may be dated after the bank's own day
LATE_IN, LATE_OUT = 21, 120
SURE_DAYS = 7
ALIKE = 60
MOST_SUMS = 200  # lines whose sums are searched at a time; the rest wait until these are settled
_TOKEN = re.compile(r"[A-Z0-9][A-Z0-9-]*[A-Z0-9]")


@dataclass(frozen=True, slots=True)
class Side:
    """One open line of the bank, or one open entry of the books. ``key`` is its own on its side.

    ``source`` is the paper an entry was posted from."""

    key: int
    on: date
    amount: Money
    words: str = ""
    refs: frozenset[str] = field(default=frozenset(), repr=False)
    source: str = ""


@dataclass(frozen=True, slots=True)
class Suggestion:
    """The same money on both sides. ``sure`` ones may be confirmed together without looking at each."""

    bank: tuple[int, ...]
    books: tuple[int, ...]
    way: str
    why: str
    sure: bool


def refs_of(*texts: str) -> frozenset[str]:
    """Codes and numbers in a text: words of three characters or more with a digit, without leading zeros."""
    words = (word.lstrip("0-") for text in texts for word in _TOKEN.findall(text.upper()))
    return frozenset(word for word in words if len(word) >= 3 and any(sign.isdigit() for sign in word))


def suggest(bank: Sequence[Side], books: Sequence[Side]) -> list[Suggestion]:
    """Suggestions that do not overlap, in the order of the bank's lines. Entries fit for several lines go to the nearest."""
    work = _Work({side.key: side for side in bank}, {side.key: side for side in books})
    work.singles()
    work.bank_slips()
    work.sums()
    work.taken_back()
    order = {side.key: place for place, side in enumerate(bank)}
    return sorted(work.found, key=lambda one: order[one.bank[0]] if one.bank else len(order))


def in_window(bank: Side, book: Side) -> bool:
    late = LATE_IN if bank.amount >= Money.zero else LATE_OUT
    return -BOOKED_AFTER <= (bank.on - book.on).days <= late


def _days(first: date, second: date) -> str:
    apart = abs((first - second).days)
    return "the same day" if not apart else f"{apart} {'day' if apart == 1 else 'days'} apart"


class _Work:
    """What is still open on both sides while suggestions are found."""

    def __init__(self, bank: dict[int, Side], books: dict[int, Side]) -> None:
        self.bank, self.books = bank, books
        self.found: list[Suggestion] = []

    def take(self, bank: Iterable[Side], books: Iterable[Side], way: str, why: str, sure: bool) -> None:
        lines, entries = tuple(side.key for side in bank), tuple(side.key for side in books)
        for key in lines:
            del self.bank[key]
        for key in entries:
            del self.books[key]
        self.found.append(Suggestion(lines, entries, way, why[:300], sure))

    def singles(self) -> None:
        by_amount: dict[Money, dict[int, Side]] = defaultdict(dict)
        for side in self.books.values():
            by_amount[side.amount][side.key] = side
        lines = sorted(self.bank.values(), key=lambda side: (side.on, side.key))
        rivals: dict[Money, int] = defaultdict(int)
        for line in lines:
            rivals[line.amount] += 1
        for line in lines:
            for entry in by_amount[line.amount].values():
                shared = line.refs & entry.refs
                if shared and in_window(line, entry):
                    why = f"Amount and reference {max(shared, key=len)} agree, {_days(line.on, entry.on)}."
                    self.take([line], [entry], EXACT, why, True)
                    del by_amount[line.amount][entry.key]
                    break
        for line in lines:
            fitting = [side for side in by_amount[line.amount].values() if in_window(line, side)]
            if line.key not in self.bank or not fitting:
                continue
            best = min(
                fitting, key=lambda side: (-_alike(line, side), abs((line.on - side.on).days), side.key)
            )
            why = f"Same amount, {_days(line.on, best.on)}"
            why += "; the words agree" if _alike(line, best) else ""
            why += f"; {len(fitting)} entries fit, this one best" if len(fitting) > 1 else ""
            near = abs((line.on - best.on).days) <= SURE_DAYS
            self.take(
                [line], [best], AMOUNT, f"{why}.", near and len(fitting) == 1 and rivals[line.amount] == 1
            )
            del by_amount[line.amount][best.key]

    def bank_slips(self) -> None:
        """A line that the bank took back itself."""
        by_amount: dict[Money, list[Side]] = defaultdict(list)
        for line in sorted(self.bank.values(), key=lambda side: (side.on, side.key)):
            backs = by_amount[-line.amount]
            near = next((side for side in backs if (line.on - side.on).days <= LATE_IN), None)
            if near is None or not line.amount:
                by_amount[line.amount].append(line)
                continue
            backs.remove(near)
            why = "The bank took this line back itself: together they are 0.00."
            self.take([near, line], [], SEVERAL, why, False)

    def sums(self) -> None:
        for line in sorted(self.bank.values(), key=lambda side: side.on)[:MOST_SUMS]:
            near = [side for side in self.books.values() if in_window(line, side)]
            if chosen := find_sum(line, near):
                self.take([line], chosen, SEVERAL, _sum_words("entries", chosen, line.amount), False)
        for entry in sorted(self.books.values(), key=lambda side: side.on)[:MOST_SUMS]:
            near = [side for side in self.bank.values() if in_window(side, entry)]
            if chosen := find_sum(entry, near):
                self.take(
                    chosen, [entry], SEVERAL, _sum_words("lines of the bank", chosen, entry.amount), False
                )

    def taken_back(self) -> None:
        """Two entries of one paper in opposite directions: a check that was stopped before the bank saw it. What the
        stopping cost may be inside the second, and is then a line of the bank."""
        by_source: dict[str, list[Side]] = defaultdict(list)
        for entry in sorted(self.books.values(), key=lambda side: (side.on, side.key)):
            if refs_of(entry.source):
                by_source[entry.source].append(entry)
        for source, entries in by_source.items():
            if len(entries) != 2 or (entries[0].amount > Money.zero) == (entries[1].amount > Money.zero):
                continue
            rest = total(entry.amount for entry in entries)
            lines = [
                side for side in self.bank.values() if side.amount == rest and in_window(side, entries[1])
            ]
            words = f"{source} was booked and taken back"
            if not rest:
                why = f"{words}, and the bank never saw it: together 0.00."
                self.take([], entries, SEVERAL, why, False)
            elif len(lines) == 1:
                self.take(lines, entries, SEVERAL, f"{words}; what is left of it is this line.", False)


def _alike(line: Side, entry: Side) -> bool:
    return (
        bool(line.words and entry.words) and token_set_ratio(line.words.lower(), entry.words.lower()) >= ALIKE
    )


def _sum_words(what: str, chosen: Sequence[Side], amount: Money) -> str:
    parts = " + ".join(str(side.amount) for side in chosen)
    assert total(side.amount for side in chosen) == amount
    return f"{len(chosen)} {what} sum to it: {parts} = {amount}."
