"""Count and receipt book, and when a difference is worth a second look. Pure."""

from collections.abc import Iterable

from fund.money import Money

WORTH_A_NOTE = Money(500)  # a difference above $5.00 is looked at a second time (common practice)


def note_needed(counted: Money, taken: Money) -> str:
    """Why a note is needed: count and receipt book differ. Empty when they agree."""
    if taken == counted:
        return ""
    return (
        f"The count is {counted}, the receipt book says {taken}: {taken - counted} apart. "
        "Count again; if it stays so, write a note."
    )


def worth_a_look(apart: Money, shortages_before: int) -> bool:
    """Whether a difference is more than a slip: above $5.00, or short again by the same two people."""
    return abs(apart) > WORTH_A_NOTE or (apart.minor < 0 and shortages_before > 0)


def gaps(numbers: Iterable[int]) -> list[int]:
    """Numbers missing from a series that begins at 1."""
    there = set(numbers)
    return [number for number in range(1, max(there, default=0) + 1) if number not in there]
