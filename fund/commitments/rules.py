"""What may still be promised, and out of which pot. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from fund.ledger.chart import (
    BANK,
    BILLS,
    CLEARING,
    GENERAL,
    OWED_CREW,
    OWED_SUPPORTERS,
    PETTY_CASH,
    REFUNDABLE,
    UNDEPOSITED,
    UNIDENTIFIED,
)
from fund.ledger.rules import Pots, unspent
from fund.money import Money, total


@dataclass(frozen=True, slots=True)
class Subtraction:
    """One line between the bank and what is free to commit; ``amount`` is what is taken off (never negative)."""

    label: str
    amount: Money
    help: str = ""


@dataclass(frozen=True, slots=True)
class Position:
    """Where the fund stands on a day, all in minor units. ``month`` is the latest month with a posting."""

    on: date
    month: str
    bank: Money
    subtractions: tuple[Subtraction, ...]
    free_to_commit: Money
    restricted: Money
    reserve: Money
    committed: Money
    petty_cash: Money
    undeposited: Money
    clearing: Money
    pots: tuple[tuple[str, Money], ...]
    """(purpose code, what is left of that restriction)"""
    to_promise: tuple[tuple[str, Money], ...] = ()
    """(purpose code, what of it lies in the bank, is shown there and old enough), before what is promised of it"""


@dataclass(frozen=True, slots=True)
class Allowance:
    """What was approved for a cost object, its tolerance, what has been spent, and what may still be (minor units).

    ``until`` is the last day for the first purchase (None: no such day); ``begun`` says that something was bought since
    a promise with such a day, or where there is none at all;
    ``open`` is what is still promised, which a release at the end of the work brings to zero.
    """

    promised: Money = Money.zero
    tolerance: Money = Money.zero
    spent: Money = Money.zero
    until: date | None = None
    begun: bool = False
    open: Money = Money.zero

    @property
    def limit(self) -> Money:
        return self.promised + self.tolerance

    @property
    def room(self) -> Money:
        return self.limit - self.spent

    def ran_out(self, on: date) -> bool:
        """Whether the approval is over on a day because nothing was bought in its time."""
        return bool(self.promised) and not self.begun and self.until is not None and on > self.until


@dataclass(frozen=True, slots=True)
class Overrun:
    """A cost beside what a cost object may still cost."""

    cost_object: str
    cost: Money
    allowance: Allowance

    @property
    def over(self) -> Money:
        """By how much the cost would pass the limit; above zero when it does."""
        return self.cost - self.allowance.room

    @property
    def words(self) -> str:
        """The overrun in one sentence, with what is to be done before it is bought."""
        now = self.allowance
        if not now.promised:
            return f"Nothing has been approved for {self.cost_object} yet. Ask for an approval first."
        return (
            f"{self.cost_object} would reach {now.spent + self.cost}: {now.promised} was approved with a tolerance of"
            f" {now.tolerance}, so {now.limit} is the most. Ask for a supplement of at least {self.over} first."
        )


def _held(pots: Pots, *codes: str) -> Money:
    return total(
        amount
        for (code, _), amount in pots.items()
        if code in codes or (CLEARING in codes and code[:3] == "103")
    )


def _back(pots: Pots, purpose: str) -> Money:
    """What of a purpose goes back to platforms: gifts taken back after their payout. One platform never makes up for another."""
    return total(
        max(-amount, Money.zero)
        for (code, pot), amount in pots.items()
        if code[:3] == "103" and pot == purpose
    )


def _kept(pots: Pots, purpose: str) -> Money:
    """What of a restriction lies in the bank and stays there, once the platforms have taken theirs."""
    return max(pots.get((BANK, purpose), Money.zero) - _back(pots, purpose), Money.zero)


def _owed(pots: Pots, code: str) -> Money:
    return max(-_held(pots, code), Money.zero)


def position_of(
    pots: Pots,
    restricted: Sequence[str],
    reserve: Money,
    open_by_purpose: dict[str, Money],
    on: date,
    month: str,
    not_shown: Mapping[str, Money] | None = None,
    young: Mapping[str, Money] | None = None,
) -> Position:
    """Free to commit = bank less what is owed, restricted, kept back and already promised.

    Restricted money in the bank is taken off whole; promises out of it are not taken off a second time. Petty cash,
    undeposited cash, clearing, deposits due back and the shelf never add to it. (Common practice; the usual reading of money
    that is available without donor restrictions, ASU 2016-14.)

    Of a restriction only what lies in the bank is taken off: what waits undeposited or at a platform is in the bank's figure
    neither. What platforms take back is taken off in each purpose by itself, so a pot that ran dry never helps.

    ``not_shown`` (by purpose) is what the books have in the bank and no statement shows yet. Its general part is taken off;
    its restricted parts are inside what is taken off for restrictions already. None leaves the balance of the books alone.
    ``young`` (by purpose) is what lies in the bank of large first gifts that a dispute may still take back, beyond what is
    in ``not_shown`` already.
    """
    bank = _held(pots, BANK)
    left = tuple((code, unspent(code, pots)) for code in restricted)
    committed = open_by_purpose.get(GENERAL, Money.zero)
    kept = {code: _kept(pots, code) for code in restricted}
    back = total(_back(pots, code) for code in (*restricted, GENERAL))
    bare = total(
        max(open_by_purpose.get(code, Money.zero) - amount, Money.zero) for code, amount in kept.items()
    )
    off = (
        Subtraction("Supplier bills not yet paid", _owed(pots, BILLS)),
        Subtraction(
            "Owed to crew members", _owed(pots, OWED_CREW), "They paid for parts with their own money."
        ),
        Subtraction("Refunds owed to supporters", _owed(pots, OWED_SUPPORTERS)),
        Subtraction(
            "Refundable and unidentified receipts",
            _owed(pots, REFUNDABLE) + _owed(pots, UNIDENTIFIED),
            "Money in the bank that is not yet ours to spend.",
        ),
        Subtraction(
            "Restricted gifts not yet spent",
            total(kept.values()),
            "What of them lies in the bank. May only pay for what the giver named.",
        ),
        Subtraction("Reserve kept back by the owner", reserve),
        Subtraction(
            "Promised to repairs, not yet spent",
            committed,
            "Approved estimates less what was bought for them.",
        ),
        *_if_any(
            "Promised out of restricted gifts that are gone",
            bare,
            "General money stands in for what went back.",
        ),
        *_if_any(
            "Owed back to platforms",
            back,
            "Gifts taken back after they were paid out: later payouts are less by them.",
        ),
        *_if_any(
            "Large first gifts, too young to promise",
            (young or {}).get(GENERAL, Money.zero),
            "A card's owner may still take it back; it counts once that time is over.",
        ),
        *_in_transit(not_shown),
    )
    return Position(
        on=on,
        month=month,
        bank=bank,
        subtractions=off,
        free_to_commit=bank - total(item.amount for item in off),
        restricted=total(max(amount, Money.zero) for _, amount in left),
        reserve=reserve,
        committed=committed,
        petty_cash=_held(pots, PETTY_CASH),
        undeposited=_held(pots, UNDEPOSITED),
        clearing=_held(pots, CLEARING),
        pots=left,
        to_promise=tuple(
            (code, _to_promise(code, amount, pots, not_shown or {}, young or {})) for code, amount in left
        ),
    )


def _to_promise(
    code: str, left: Money, pots: Pots, not_shown: Mapping[str, Money], young: Mapping[str, Money]
) -> Money:
    """What of a restriction may be promised: no more than is left of it, of what the bank has shown of it."""
    waiting = max(not_shown.get(code, Money.zero), Money.zero)
    lies_there = pots.get((BANK, code), Money.zero) - _back(pots, code)
    return min(left, lies_there - waiting) - young.get(code, Money.zero)


def _if_any(label: str, amount: Money, words: str) -> tuple[Subtraction, ...]:
    """A subtraction that is told only when there is one."""
    return (Subtraction(label, amount, words),) if amount else ()


def _in_transit(not_shown: Mapping[str, Money] | None) -> tuple[Subtraction, ...]:
    if not_shown is None:
        return ()
    amount = max(not_shown.get(GENERAL, Money.zero), Money.zero)
    return (
        Subtraction(
            "Deposits the bank has not shown yet", amount, "On their way, by the statements brought in."
        ),
    )


def share_spend(amount: Money, open_by_purpose: dict[str, Money]) -> dict[str, Money]:
    """How much of a cost each purpose's open commitment takes: restrictions first, then general, never below zero."""
    taken: dict[str, Money] = {}
    for purpose in sorted(open_by_purpose, key=lambda code: (code == GENERAL, code)):
        part = min(amount, max(open_by_purpose[purpose], Money.zero))
        if part:
            taken[purpose] = part
            amount -= part
    return taken


def restricted_back(amount: Money, cost: Money, restricted: dict[str, Money]) -> dict[str, Money]:
    """What goes back to each restriction when ``amount`` of a ``cost`` is returned.

    ``restricted`` is what each restriction paid of that cost. Restrictions paid first, so general money comes back first.
    """
    left, back = max(cost - amount, Money.zero), {}
    for purpose in sorted(restricted):
        keeps = min(restricted[purpose], left)
        left -= keeps
        if restricted[purpose] > keeps:
            back[purpose] = restricted[purpose] - keeps
    return back
