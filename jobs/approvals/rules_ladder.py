"""Up to how much one person may say yes alone: in dollars, and as a share of what is free. Common practice, both."""

from dataclasses import dataclass

from fund.money import Money
from jobs.approvals.rules_case import Case


@dataclass(frozen=True)
class Rung:
    """One limit of what one person may approve alone: whether the repair is above it, and that in a sentence."""

    rule: str
    above: bool
    words: str


def rungs(case: Case) -> tuple[Rung, ...]:
    """The limits of one person's yes, each on the whole of the repair so that supplements cannot creep past it."""
    return (_limit_rung(case), *_share_rung(case))


def takes_two(case: Case) -> bool:
    """Whether the repair is above any limit of what one person may approve. Exactly at a limit is not above it."""
    return any(rung.above for rung in rungs(case))


def _limit_rung(case: Case) -> Rung:
    whole, limit = case.whole.dollars, case.owner_limit.dollars
    if case.whole > case.owner_limit:
        return Rung("limit", True, f"{whole} is above the {limit} one person may approve.")
    return Rung("limit", False, f"{whole} is within the {limit} one person may approve.")


def _share_rung(case: Case) -> tuple[Rung, ...]:
    """Not asked where nothing more is taken; a cost that is not there at all is the money's to refuse."""
    if not case.share_percent or case.more == case.from_gift:
        return ()
    if case.more > case.free:
        return (Rung("share", False, "What share of the free money it takes is not asked: it costs more."),)
    free, percent = case.free_without, case.share_percent
    beside = " beside the restricted gift" if case.from_gift else ""
    without = " without it" if case.general_before else ""
    words = (
        f"{case.general.dollars}{beside} is {share_of_free(case.general, free)}% of the {free.dollars} free to commit{without}; "
        f"one person may approve up to {percent}% of it, {Money(free.minor * percent // 100).dollars}."
    )
    return (Rung("share", case.general.minor * 100 > free.minor * percent, words),)


def share_of_free(cost: Money, free: Money) -> int | None:
    """Percent of free money this takes, rounded up; None when nothing is free."""
    return -(-cost.minor * 100 // free.minor) if free > Money.zero else None
