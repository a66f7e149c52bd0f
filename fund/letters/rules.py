"""What an acknowledgment must say about a gift. Pure: no database, no clock.

Sources, as read in copies: IRS Publication 1771 (Rev. March 2016); irs.gov, Charitable contributions: written
acknowledgments, and Quid pro quo contributions; Internal Revenue Code 6115; Rev. Proc. 90-12 with its yearly figures.
The fund's accountant decides; this computes what they can look over.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from fund.money import Money, total

# A single gift of this much needs a written acknowledgment (Internal Revenue Code 170(f)(8)).
NEEDS_LETTER = Money(250_00)
# A payment above this that is partly for a benefit needs a statement (Internal Revenue Code 6115).
NEEDS_STATEMENT = Money(75_00)
# A benefit worth no more than this share of the payment does not count (Rev. Proc. 90-12).
SMALL_SHARE = Fraction(2, 100)


@dataclass(frozen=True, slots=True)
class Benefit:
    """What the giver got for a gift: in words, what it is worth, what it cost the fund, whether it bears its name."""

    words: str
    value: Money
    cost: Money
    logo: bool


@dataclass(frozen=True, slots=True)
class TokenLimits:
    """The year's figures for small benefits: cost of an article, smallest gift for it, most that 2% may come to.

    ``from_memory`` when nobody has compared the figures with the revenue procedure yet.
    """

    year: int
    low_cost: Money
    floor: Money
    cap: Money
    procedure: str
    from_memory: bool = False


def limits_wrong(low_cost: Money, floor: Money, cap: Money) -> str:
    """Empty, or why the three figures cannot be right: every year they stand as 1 to 5 to 10."""
    if low_cost <= Money.zero:
        return "The cost of a small article is more than 0.00."
    if (floor, cap) != (low_cost * 5, low_cost * 10):
        return (
            f"The three figures of a year always stand as 1 to 5 to 10. With {low_cost} they would be {low_cost}, "
            f"{low_cost * 5} and {low_cost * 10}. Look at the revenue procedure once more."
        )
    return ""


def is_small(payment: Money, benefit: Benefit, limits: TokenLimits | None) -> bool:
    """Whether a benefit is too small to count, so that the whole payment is a gift.

    Either it is worth no more than 2% of the payment and than the year's cap; or the payment reaches the year's floor
    and the benefit bears the fund's name and cost the fund no more than a small article does. What it sells for in a
    shop does not matter then. Without the year's limits no benefit is small.
    """
    if limits is None:
        return False
    worth_little = benefit.value.minor <= payment.minor * SMALL_SHARE and benefit.value <= limits.cap
    token = payment >= limits.floor and benefit.logo and benefit.cost <= limits.low_cost
    return worth_little or token


def gift_part(payment: Money, benefit: Benefit | None, limits: TokenLimits | None) -> Money:
    """What of a payment is a gift: all of it, or what it is above the value of the benefit, never below zero."""
    if benefit is None or is_small(payment, benefit, limits):
        return payment
    return max(payment - benefit.value, Money.zero)


def must_state(payment: Money, benefit: Benefit | None, limits: TokenLimits | None) -> bool:
    """Whether the law asks the fund for a written statement about what was given in return.

    Only above 75.00, only when the benefit counts, and only when some of the payment is a gift at all.
    """
    if benefit is None or payment <= NEEDS_STATEMENT or is_small(payment, benefit, limits):
        return False
    return gift_part(payment, benefit, limits) > Money.zero


@dataclass(frozen=True, slots=True)
class GiftFacts:
    """A gift as a letter sees it.

    ``given`` is what was given and ``back`` what of it went back. ``goods`` describes what was given when it was no
    money. ``purpose`` is the giver's restriction, empty for none. ``why_not`` is the gifts room's reason against any
    letter (in dispute, not ours yet, a household's own share), empty for none. ``deductible`` is the fund's rule on the day
    of the gift. ``limits`` are those of its year, None if the fund has none written down.
    """

    code: str
    on: date
    way: str
    given: Money
    back: Money = Money.zero
    purpose: str = ""
    goods: str = ""
    benefit: Benefit | None = None
    why_not: str = ""
    deductible: bool = False
    limits: TokenLimits | None = None

    @property
    def kept(self) -> Money:
        return self.given - self.back

    @property
    def small(self) -> bool:
        return self.benefit is not None and is_small(self.kept, self.benefit, self.limits)

    @property
    def part(self) -> Money:
        """What of it is a gift, in money; nothing for goods, whose value is for the giver to establish."""
        return Money.zero if self.goods else gift_part(self.kept, self.benefit, self.limits)

    @property
    def must_state(self) -> bool:
        return self.deductible and not self.goods and must_state(self.kept, self.benefit, self.limits)

    @property
    def needs_letter(self) -> bool:
        """Whether the giver needs a letter for this gift by itself: gifts are not added up to reach the amount."""
        return self.deductible and (self.must_state or bool(self.goods) or self.kept >= NEEDS_LETTER)


def why_left_out(gift: GiftFacts) -> str:
    """Empty for a gift that a letter may speak of, else the reason in a sentence."""
    if gift.why_not:
        return gift.why_not
    return "" if gift.goods or gift.kept > Money.zero else "It went back."


def speaks_of(gifts: Iterable[GiftFacts]) -> tuple[list[GiftFacts], list[tuple[GiftFacts, str]]]:
    """The gifts that a letter names, oldest first, and those it leaves out with the reason."""
    named, left_out = [], []
    for gift in sorted(gifts, key=lambda one: (one.on, one.code)):
        if why := why_left_out(gift):
            left_out.append((gift, why))
        else:
            named.append(gift)
    return named, left_out


def money_given(gifts: Iterable[GiftFacts]) -> Money:
    return total(gift.kept for gift in gifts if not gift.goods)


def gift_parts(gifts: Iterable[GiftFacts]) -> Money:
    """What counts as gift in money, of the gifts made while gifts were deductible."""
    return total(gift.part for gift in gifts if gift.deductible)
