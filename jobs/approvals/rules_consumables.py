"""May the mechanic take fluids and small supplies before the owner has decided? The lowest rung of the ladder.

That a fund lets its mechanics do so, up to about 50 dollars a repair, is common practice; the figure is a dated rule.
"""

from dataclasses import dataclass

from fund.money import Money
from fund.refusal import TwoPeopleNeeded
from jobs.approvals.rules import Check, checks
from jobs.approvals.rules_case import Case
from jobs.approvals.rules_ladder import rungs

ASK_FOR_MORE = "Price the repair and ask for a decision."


@dataclass(frozen=True)
class Wish:
    """What the mechanic asks for. The cost of ``case`` is the wish, its standing cost what was taken before.

    ``waits``: the repair is before its decision; ``limit`` is for one repair in all, not for each wish or receipt.
    """

    case: Case
    state: str
    waits: bool
    mechanic: int | None
    checked_in: bool
    limit: Money


def wish_checks(wish: Wish) -> list[Check]:
    """The rules in the order a person would look at them; eligibility, ties and money as for any other promise."""
    same = {check.rule: check for check in checks(wish.case)}
    return [
        _waits(wish),
        _own_repair(wish),
        _checked_in(wish),
        same["eligible"],
        _answered(wish.case),
        same["tie"],
        same["screener"],
        _limit(wish),
        *_share(wish.case),
        same["money"],
    ]


def _waits(wish: Wish) -> Check:
    number = wish.case.number
    if wish.case.comeback:
        words = f"{number} is a comeback: what it costs is booked apart, and somebody decides on it first."
        return Check("waits", False, words)
    if not wish.waits:
        words = f"{number} is {wish.state}. Consumables are taken before the decision; after it, ask for a supplement."
        return Check("waits", False, words)
    return Check("waits", True, "It is not decided on yet.")


def _own_repair(wish: Wish) -> Check:
    if wish.mechanic != wish.case.approver.person:
        words = f"Only the mechanic who does the work on {wish.case.number} takes consumables for it."
        return Check("mechanic", False, words)
    return Check("mechanic", True, "Asked for by the mechanic who does the work.")


def _checked_in(wish: Wish) -> Check:
    if not wish.checked_in:
        words = f"Finish the check-in of {wish.case.number} first: its owner signs before anyone touches it."
        return Check("check-in", False, words)
    return Check("check-in", True, "It was checked in, and its owner has signed.")


def _answered(case: Case) -> Check:
    if case.approver.tie is None:
        words = (
            f"{case.approver.name} has not said yet whether the household is tied to them. Answer that first."
        )
        return Check("answers", False, words)
    return Check("answers", True, "The mechanic has said whether the household is tied to them.")


def _limit(wish: Wish) -> Check:
    case, limit = wish.case, wish.limit.dollars
    if not wish.limit:
        words = f"The fund lets nobody take consumables before a decision. {ASK_FOR_MORE}"
        return Check("limit", False, words, TwoPeopleNeeded)
    if case.whole > wish.limit:
        so_far = f"{case.standing_cost.dollars} was taken before; with it " if case.standing_cost else ""
        words = f"{so_far}{case.whole.dollars} is above the {limit} a mechanic may take alone for one repair. {ASK_FOR_MORE}"
        return Check("limit", False, words, TwoPeopleNeeded)
    words = f"{case.whole.dollars} in all is within the {limit} a mechanic may take alone for one repair."
    return Check("limit", True, words)


def _share(case: Case) -> list[Check]:
    """The share of free money that one person may take holds on the lowest rung too."""
    found = [rung for rung in rungs(case) if rung.rule == "share"]
    return [
        Check(
            "share",
            not rung.above,
            f"{rung.words} {ASK_FOR_MORE}" if rung.above else rung.words,
            TwoPeopleNeeded,
        )
        for rung in found
    ]
