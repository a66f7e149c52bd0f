"""The cost of one repair: what was estimated beside what was booked, and what was published beside what it is now. Pure."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from fund.ledger.chart import COMEBACK, CORES, CORES_LOST, FLUIDS, OUTSIDE, PARTS, REPAIR_COST
from fund.money import Money, split, total
from jobs.estimates.rules import Kind

# (what it is called, the account it is booked on, the kinds of estimate line that foresee it)
KINDS: tuple[tuple[str, str, tuple[Kind, ...]], ...] = (
    ("Parts and fees", PARTS, (Kind.PART, Kind.FEE)),
    ("Fluids and other used-up things", FLUIDS, (Kind.FLUID,)),
    ("Work by an outside shop", OUTSIDE, (Kind.OUTSIDE,)),
    ("Cores lost", CORES_LOST, ()),
    ("Bought again", COMEBACK, ()),
)


@dataclass(frozen=True, slots=True)
class Foreseen:
    """One line of the estimate or of a supplement that was granted (``round`` above 0); ``amount`` for the whole line."""

    round: int
    kind: str
    text: str
    amount: Money
    count: str = ""
    condition: str = ""


@dataclass(frozen=True, slots=True)
class Booked:
    """One line of the ledger on this repair. ``source`` is the code of the paper it came from; debit positive."""

    account: str
    amount: Money
    text: str
    entry: int
    entry_text: str
    source: str
    on: date
    month: str
    later: bool
    before_approval: bool = False


@dataclass(frozen=True, slots=True)
class KindRow:
    """One kind of cost, estimated and booked; the estimate holds its share of the estimated tax."""

    label: str
    estimate: Money
    actual: Money

    @property
    def difference(self) -> Money:
        """Booked less estimated: above zero when it cost more."""
        return self.actual - self.estimate


@dataclass(frozen=True, slots=True)
class Published:
    """What one published month said of the repair: its cost in the month, and to the end of it."""

    month: str
    version: int
    cost: Money
    to_date: Money


@dataclass(frozen=True, slots=True)
class Since:
    """From a published cost to the present one: what was booked after that month, and what that leaves unexplained."""

    published: Published
    now: Money
    because: tuple[Booked, ...]

    @property
    def difference(self) -> Money:
        return self.now - self.published.to_date

    @property
    def unexplained(self) -> Money:
        """Zero unless the record and the ledger disagree about a month that is closed."""
        return self.difference - total(line.amount for line in self.because)


def by_kind(foreseen: Iterable[Foreseen], booked: Iterable[Booked]) -> list[KindRow]:
    """Estimate beside actual, kind by kind; kinds with neither are left out. The columns add up to the whole.

    What is bought carries its tax, so the tax of each round of the estimate is spread over its lines as on a receipt
    (by amounts, largest remainder, ties to the first line). Core deposits are in neither column.
    """
    lines, costs = list(foreseen), list(booked)
    wanted = with_tax(lines)
    rows = []
    for label, account, kinds in KINDS:
        estimate = total(amount for line, amount in wanted if line.kind in kinds)
        actual = total(line.amount for line in costs if line.account == account)
        if estimate or actual or any(line.account == account for line in costs):
            rows.append(KindRow(label, estimate, actual))
    spare = total(line.amount for line in lines if line.kind == Kind.CONTINGENCY)
    if spare:
        rows.append(KindRow("Contingency, for what was not foreseen", spare, Money.zero))
    return rows


def with_tax(lines: Sequence[Foreseen]) -> list[tuple[Foreseen, Money]]:
    """The lines that are bought, each with its share of its round's tax."""
    found: list[tuple[Foreseen, Money]] = []
    apart = (Kind.TAX, Kind.CORE, Kind.CONTINGENCY)
    for number in sorted({line.round for line in lines}):
        mine = [line for line in lines if line.round == number and line.kind not in apart]
        tax = total(line.amount for line in lines if line.round == number and line.kind == Kind.TAX)
        if not any(line.amount for line in mine):  # a supplement of tax alone: it belongs to parts
            found += [(Foreseen(number, Kind.PART.value, "tax", tax), tax)] if tax else []
            continue
        shares = split(tax, [line.amount.minor for line in mine])
        found += [(line, line.amount + share) for line, share in zip(mine, shares, strict=True)]
    return found


def costs_among(lines: Iterable[Booked]) -> list[Booked]:
    """The lines that make up the cost."""
    return [line for line in lines if line.account in REPAIR_COST]


def deposits_among(lines: Iterable[Booked]) -> list[Booked]:
    """Core deposits paid (above zero) and ended (below zero); their sum is what is still out."""
    return [line for line in lines if line.account == CORES]


def published_of(
    records: Iterable[tuple[str, int, Mapping[str, Any]]],
    alias: str,
    vehicle: str,
    job: str,
    costs: Sequence[Booked],
) -> list[Published]:
    """What published months said of a repair, oldest first, from (month, version, record).

    A record holds no number of a repair order: it is found by alias, vehicle and job. Of two repairs alike in these the
    one whose cost to that month's end is the ledger's is meant; when that does not tell them apart, the month is left out.
    """
    found = []
    for month, version, record in sorted(records, key=lambda row: row[:2]):
        told = [
            row
            for row in record["repairs"]
            if (row["alias"], row["vehicle"], row["job"]) == (alias, vehicle, job)
        ]
        if len(told) > 1:
            then = total(line.amount for line in costs if line.month <= month)
            told = [row for row in told if row["cost_to_date"] == then.minor]
        if len(told) == 1:
            found.append(Published(month, version, Money(told[0]["cost"]), Money(told[0]["cost_to_date"])))
    return found


def since(published: Sequence[Published], costs: Sequence[Booked], finished_in: str | None) -> Since | None:
    """The published cost that readers know, beside the present one.

    That of the month of the hand-back once it was published, else that of the latest month told.
    """
    if not published:
        return None
    known = next((row for row in reversed(published) if row.month == finished_in), published[-1])
    because = tuple(line for line in costs if line.month > known.month)
    return Since(known, total(line.amount for line in costs), because)
