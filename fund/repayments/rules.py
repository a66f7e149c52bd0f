"""What a crew member is owed, what needs a second look, and who may let the money go. Pure: no database, no clock.

Sources, as read in copies: the IRS's rules of an accountable plan (receipts within 60 days, what is left of an advance
within 120 days) for late receipts and advances; IRS standard mileage rates, Internal Revenue Code 170(i), for
charitable miles. What follows for anyone's taxes is for the accountant to decide.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from fund.money import Money, round_half_up, total

OWNER, TREASURER, ACCOUNTANT = "owner", "treasurer", "accountant"
NOTE_ABOVE = Money(5_00)
"""A count of petty cash that is further off than this says why (our own measure)."""


def mileage_amount(tenths: int, rate: int) -> Money:
    """Tenths of a mile at tenths of a cent a mile, to the nearest cent; half a cent goes up.

    37 miles at 14 cents are 5.18.
    """
    return round_half_up(Fraction(tenths * rate, 100))


def miles_text(tenths: int) -> str:
    whole, part = divmod(tenths, 10)
    return f"{whole}.{part}" if part else str(whole)


cents_text = miles_text  # tenths of a cent read the same way


def flag_of(bought_on: date, handed_in_on: date, most_days: int, *, missing: bool) -> str:
    """What a claim's row must say beside its amount: that its receipt is missing, or that it came late; or nothing."""
    days = (handed_in_on - bought_on).days
    said = ["no receipt"] if missing else []
    if days > most_days:
        said.append(f"handed in after {days} days, may be taxable")
    return "; ".join(said)


def unseen_refusal(codes: Sequence[str]) -> str:
    """Why receipts that nobody but the buyer has seen are not paid back; empty without any."""
    if not codes:
        return ""
    one = len(codes) == 1
    return (
        f"There is no photo of {', '.join(codes)}. Put {'it to the receipt' if one else 'them to the receipts'}, or look at"
        f" the {'paper' if one else 'papers'} and say so. Is a receipt lost, take it back and enter it as lost: there are"
        " limits to that."
    )


def expected_on(handed_in_on: date, repay_days: int) -> date:
    """The day by which the member can expect the money."""
    return handed_in_on + timedelta(days=repay_days)


@dataclass(frozen=True, slots=True)
class Held:
    """An advance and what is left of it."""

    code: str
    on: date
    amount: Money
    left: Money

    def days(self, today: date) -> int:
        return (today - self.on).days

    def over(self, today: date, limit: int) -> int:
        """Days past the limit by which the rest must be accounted for or returned."""
        return max(self.days(today) - limit, 0)


def advances_left(given: Sequence[tuple[str, date, Money]], open_now: Money) -> list[Held]:
    """Which advances are still open, when receipts and returns clear the oldest first.

    ``given`` oldest first; ``open_now`` is what the books say the person still holds.
    """
    cleared = total(amount for _, _, amount in given) - open_now
    rows = []
    for code, on, amount in given:
        taken = min(cleared, amount)
        cleared -= taken
        if amount > taken:
            rows.append(Held(code, on, amount, amount - taken))
    return rows


def set_against(owed: Money, due: Money, advance: Money) -> tuple[Money, Money]:
    """Of a payment: what is kept for what the member owes the fund, then for the advance they still hold."""
    kept_due = min(owed, max(due, Money.zero))
    return kept_due, min(owed - kept_due, max(advance, Money.zero))


@dataclass(frozen=True, slots=True)
class Hands:
    """Whose hands money goes through: sign-in names of all active owners and treasurers, and of the claimant."""

    claimant: str
    owners: frozenset[str]
    treasurers: frozenset[str]


def why_not_prepare(by: str, roles: Iterable[str], hands: Hands) -> str:
    """Empty, or why this person may not prepare the claimant's money.

    A treasurer does, never for themselves; for the only treasurer an owner does.
    """
    if by == hands.claimant:
        return "Nobody may prepare money for themselves. Ask another person with the same role."
    if TREASURER in roles:
        return ""
    if OWNER in roles and not hands.treasurers - {hands.claimant}:
        return ""
    return "A treasurer prepares this one. An owner does so only for the money of the only treasurer."


def why_not_release(by: str, roles: Iterable[str], prepared_by: str, hands: Hands) -> str:
    """Empty, or why this person may not release money that another prepared.

    An owner does, who neither claims nor prepared it. Where no such owner is left (the only owner claims, or prepared it for
    the only treasurer), the accountant stands in.
    """
    if by == hands.claimant:
        return "Nobody may release money for themselves. Ask another person with the same role."
    if by == prepared_by:
        return (
            "It takes two different people to prepare and release a repayment. Ask someone else of the crew."
        )
    if OWNER in roles:
        return ""
    if ACCOUNTANT in roles and not hands.owners - {hands.claimant, prepared_by}:
        return ""
    return "An owner releases this one. The accountant does so only where no other owner is free to."
