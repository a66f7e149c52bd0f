"""The lines of an estimate beside what was booked for each of them. Pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from rapidfuzz import fuzz, utils

from fund.money import Money, total
from reports.cost.rules import KINDS, Booked, Foreseen, with_tax

# Of 100, in any order of the words: "front pads, ceramic" and "PADS FRONT" are one thing, for all words of one are in the
# other; "front left pads" and "front left hose" (80) are two.
ALIKE = 90


@dataclass(frozen=True, slots=True)
class LineRow:
    """One thing, estimated with its share of the tax, and booked. ``round`` above 0 is a supplement's."""

    kind: str
    text: str
    count: str
    round: int
    estimate: Money
    booked: tuple[Booked, ...]
    foreseen: bool = True

    @property
    def actual(self) -> Money:
        return total(line.amount for line in self.booked)

    @property
    def difference(self) -> Money:
        """Booked less estimated: above zero when it cost more."""
        return self.actual - self.estimate


def by_line(foreseen: Iterable[Foreseen], booked: Iterable[Booked]) -> list[LineRow]:
    """Each line of the estimate with what was booked for it, then what nobody foresaw, kind by kind.

    A booked line goes with the line of its kind whose words are most like its own; where the estimate has one line of
    the kind, everything booked of that kind goes with it. The columns add up as those of ``rules.by_kind`` do, without
    the contingency, which is for no thing in particular.
    """
    wanted, costs = with_tax(list(foreseen)), list(booked)
    rows: list[LineRow] = []
    for label, account, kinds in KINDS:
        mine = [
            LineRow(label, line.text, line.count, line.round, amount, ())
            for line, amount in wanted
            if line.kind in kinds
        ]
        rows += _beside(label, mine, [line for line in costs if line.account == account])
    return rows


def _beside(label: str, rows: Sequence[LineRow], booked: Sequence[Booked]) -> list[LineRow]:
    found: list[list[Booked]] = [[] for _ in rows]
    others: list[LineRow] = []
    for line in booked:
        at = _goes_with(line.text or line.entry_text, rows)
        if at is not None:
            found[at].append(line)
        else:
            text = line.text or line.entry_text
            others.append(LineRow(label, text, "", 0, Money.zero, (line,), foreseen=False))
    return [replace(row, booked=tuple(lines)) for row, lines in zip(rows, found, strict=True)] + others


def _goes_with(text: str, rows: Sequence[LineRow]) -> int | None:
    """Which row; of rows that are equally alike the first, so that a supplement comes after the estimate."""
    if len(rows) == 1:
        return 0
    words = utils.default_process
    scores = [fuzz.token_set_ratio(text, row.text, processor=words) for row in rows]
    best = max(scores, default=0)
    return scores.index(best) if best >= ALIKE else None
