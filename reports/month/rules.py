"""The figures of a month, and the proof that they foot. No database here.

All money is in minor units. Income and cost are shown as people speak of them: both positive when usual.
Assets are positive, liabilities negative, so that the holdings add up to what the fund is worth.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from fund.money import Money, round_half_up, split, total
from fund.refusal import Unbalanced

RANGE_FROM = 5  # jobs: with fewer, "from … to …" prints single jobs' costs
DOLLAR = Money(100)


@dataclass(frozen=True, slots=True)
class Row:
    """One line of money in or money out. ``key`` is an account code or the kind of gift."""

    key: str
    label: str
    amount: Money


@dataclass(frozen=True, slots=True)
class Holding:
    """What one account of the fund held when the month began and ended."""

    account: str
    label: str
    opening: Money
    closing: Money


@dataclass(frozen=True, slots=True)
class PurposeRoll:
    """One purpose through the month: opening + money in + released - money out = closing.

    ``released`` is what came in from other purposes (general) or left for them (a restriction: negative).
    """

    code: str
    name: str
    restricted: bool
    opening: Money
    money_in: Money
    released: Money
    money_out: Money
    closing: Money


@dataclass(frozen=True, slots=True)
class RepairLine:
    """One repair of the month. Costs by kind are those of this month; hours in tenths.

    ``ratified`` is what was said yes to in the month only after it had been spent beyond the approval.
    """

    number: str
    alias: str
    vehicle: str
    job: str
    story: str
    state: str
    costs: tuple[Row, ...]
    cost_to_date: Money
    promised: Money
    cores_out: Money
    clock_tenths: int
    book_tenths: int | None
    ratified: Money = Money.zero

    @property
    def cost(self) -> Money:
        return total(row.amount for row in self.costs)


@dataclass(frozen=True, slots=True)
class Ledger:
    """What the ledger alone says of a month."""

    month: str
    money_in: tuple[Row, ...]
    money_out: tuple[Row, ...]
    holdings: tuple[Holding, ...]
    purposes: tuple[PurposeRoll, ...]

    @property
    def opening(self) -> Money:
        return total(holding.opening for holding in self.holdings)

    @property
    def closing(self) -> Money:
        return total(holding.closing for holding in self.holdings)

    @property
    def total_in(self) -> Money:
        return total(row.amount for row in self.money_in)

    @property
    def total_out(self) -> Money:
        return total(row.amount for row in self.money_out)

    @property
    def restricted(self) -> Money:
        return total(purpose.closing for purpose in self.purposes if purpose.restricted)


def foots(opening: Money, money_in: Iterable[Money], money_out: Iterable[Money], closing: Money) -> Money:
    """opening + in - out - closing: zero when a statement foots, else the difference."""
    return opening + total(money_in) - total(money_out) - closing


def ledger_differences(ledger: Ledger) -> list[str]:
    """A sentence for every total of the month that does not foot."""
    said = []
    rest = foots(
        ledger.opening,
        (row.amount for row in ledger.money_in),
        (row.amount for row in ledger.money_out),
        ledger.closing,
    )
    if rest:
        said.append(
            f"Opening {ledger.opening} + in {ledger.total_in} - out {ledger.total_out} is off closing "
            f"{ledger.closing} by {rest}."
        )
    for purpose in ledger.purposes:
        rest = foots(
            purpose.opening, (purpose.money_in, purpose.released), (purpose.money_out,), purpose.closing
        )
        if rest:
            said.append(f"The purpose {purpose.name} does not foot: it is off by {rest}.")
        if purpose.restricted and purpose.closing < Money.zero:
            said.append(f"The purpose {purpose.name} is overdrawn by {-purpose.closing}.")
    for word, held, by_purpose in (
        ("opening", ledger.opening, total(purpose.opening for purpose in ledger.purposes)),
        ("closing", ledger.closing, total(purpose.closing for purpose in ledger.purposes)),
        ("money in", ledger.total_in, total(purpose.money_in for purpose in ledger.purposes)),
        ("money out", ledger.total_out, total(purpose.money_out for purpose in ledger.purposes)),
    ):
        if held != by_purpose:
            said.append(
                f"By purpose, {word} is {by_purpose}; the whole fund says {held}: off by {held - by_purpose}."
            )
    rest = total(purpose.released for purpose in ledger.purposes)
    if rest:
        said.append(f"What purposes released and received differs by {rest}.")
    return said


def repair_differences(
    ledger: Ledger, repairs: Sequence[RepairLine], loose: Money, cost_accounts: Iterable[str]
) -> list[str]:
    """Whether the repairs, and repair cost on no repair order (``loose``), add up to the month's repair cost."""
    accounts = set(cost_accounts)
    booked = total(row.amount for row in ledger.money_out if row.key in accounts)
    listed = total(row.amount for repair in repairs for row in repair.costs if row.key in accounts) + loose
    if booked == listed:
        return []
    return [f"The repairs listed cost {listed}; the ledger says {booked}: off by {booked - listed}."]


def carry_difference(opening: Money, closing_before: Money | None) -> list[str]:
    """Whether the month begins with what the published month before it ended with."""
    if closing_before is None or closing_before == opening:
        return []
    return [
        f"The month opens with {opening}, but the month published before it closed with {closing_before}: "
        f"off by {opening - closing_before}."
    ]


def require_footing(month: str, differences: Sequence[str]) -> None:
    """Refuse to publish figures that do not foot, naming each difference."""
    if differences:
        raise Unbalanced(f"{month} does not foot, so it is not published.", differences)


def dollar_split(rows: Sequence[Row]) -> list[tuple[Row, int]]:
    """Where a dollar spent went: 100 cents over the lines of money out, by largest remainder, largest first.

    A line at or below zero (a refund larger than the month's cost) takes no part.
    """
    spent = sorted((row for row in rows if row.amount > Money.zero), key=lambda row: -row.amount.minor)
    if not spent:
        return []
    shares = split(DOLLAR, [row.amount.minor for row in spent])
    return [(row, share.minor) for row, share in zip(spent, shares, strict=True)]


def cost_summary(costs: Sequence[Money]) -> tuple[Money, Money, Money] | None:
    """(median, lowest, highest) of finished repairs' cost, or None below five jobs.

    With an even number the median lies halfway between the two middle costs, half a cent rounded up.
    """
    if len(costs) < RANGE_FROM:
        return None
    row = sorted(costs)
    middle = row[(len(row) - 1) // 2] + row[len(row) // 2]
    return round_half_up(Fraction(middle.minor, 2)), row[0], row[-1]


def story(complaint: str, cause: str, correction: str) -> str:
    """Complaint, cause and correction on one line: ``Grinding. Front pads to metal. Pads and rotors replaced.``

    No letter is made small: a name must stay recognizable for the search before publishing.
    """
    parts = [" ".join(part.split()).rstrip(".;, ") for part in (complaint, cause, correction)]
    return " ".join(f"{part[:1].upper()}{part[1:]}." for part in parts if part)


@dataclass(frozen=True, slots=True)
class Steps:
    """The days on which a repair order took its steps; None where it has not. ``stopped_as`` is its last state."""

    estimated: date | None = None
    approved: date | None = None
    started: date | None = None
    tested: date | None = None
    handed_back: date | None = None
    stopped: date | None = None
    stopped_as: str = ""


def state_on(steps: Steps, day: date) -> str:
    """Where a repair stood at the end of a day, whatever has happened to it since.

    A month is published days after it ended; a hand-back in those days belongs to the next month.
    """
    for when, words in (
        (steps.handed_back, "handed back"),
        (steps.stopped, steps.stopped_as),
        (steps.tested, "road-tested"),
        (steps.started, "in the bay"),
        (steps.approved, "approved, waiting for parts"),
        (steps.estimated, "estimated"),
    ):
        if when is not None and when <= day:
            return words
    return "checked in"
