"""What a decision on a repair rests on."""

from dataclasses import dataclass
from datetime import date

from fund.money import Money

SCREENED = "screened the household"
TOOK = "took consumables"
ASKING = ("opened it", "priced it", "does the work", "asked for more", TOOK)


@dataclass(frozen=True)
class Voice:
    """Someone in the chain: who, what they did in it, and what they said about a tie (None: not yet)."""

    person: int
    name: str
    part: str
    tie: bool | None = None
    words: str = ""


@dataclass(frozen=True)
class Case:
    """Everything a decision rests on. Money in minor units; ``free`` is what may still be promised.

    ``standing_cost`` is what was approved for the repair before. ``taken_in`` was promised before too, but lies within the
    cost: consumables that the mechanic took before the decision. ``share_percent`` is the share of ``free_general`` that one
    person may approve (0: the fund sets none); what a restricted gift pays (``from_gift``) takes nothing of it, and
    ``general_before`` is what earlier promises to this repair took.

    ``comeback``: the repair makes an earlier one good. ``moved``: since the decision the household went where another
    income table counts. ``unreachable``: how and when somebody tried to reach an owner, in the words of whoever decides
    instead.
    """

    number: str
    on: date
    approver: Voice
    approver_is_owner: bool
    owner_stands_aside: bool
    chain: tuple[Voice, ...]
    eligible_until: date | None
    cause: str
    cost: Money
    standing_cost: Money
    supplement: bool
    owner_limit: Money
    agreed_by: Voice | None
    agreed_is_owner: bool
    free: Money
    moved: bool = False
    comeback: bool = False
    unreachable: str = ""
    delegate_limit: Money = Money.zero
    share_percent: int = 0
    taken_in: Money = Money.zero
    free_general: Money = Money.zero
    general_before: Money = Money.zero
    from_gift: Money = Money.zero

    @property
    def whole(self) -> Money:
        """The cost of the repair with what was approved before."""
        return self.standing_cost + self.cost

    @property
    def more(self) -> Money:
        """What a yes promises on top of what is promised or spent already."""
        return max(self.cost - self.taken_in, Money.zero)

    @property
    def general(self) -> Money:
        """What of the whole repair is promised out of general money, with what was before."""
        return self.general_before + self.more - self.from_gift

    @property
    def free_without(self) -> Money:
        """General money that would be free to commit if none were promised to this repair: what ``general`` is a share of."""
        return self.free_general + self.general_before
