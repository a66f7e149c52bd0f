"""What a difference tells about the slip behind it. The three signs are old bookkeepers' practice; the first two are shown
in OpenStax, Principles of Accounting vol. 1, 3.6 (finding errors with the trial balance)."""

from collections.abc import Sequence

from fund.money import Money

MOST_NAMED = 3
Named = tuple[str, Money]
"""(what it is called on the page, its amount)"""


def difference_hints(difference: Money, items: Sequence[Named] = ()) -> list[str]:
    """Sentences on where to look. Nothing for 0.00."""
    if not difference:
        return []
    size = abs(difference.minor)
    amount = Money(size)
    found = [f"{amount} is just the amount of: {label}." for label, one in items if abs(one) == amount][
        :MOST_NAMED
    ]
    found += [
        f"Half of {amount} is the amount of: {label}. Is it on the wrong side?"
        for label, one in items
        if abs(one.minor) * 2 == size
    ][:MOST_NAMED]
    if size % 9 == 0:
        found.append(_by_nine(size))
        found += [
            f"{label}: {one} and {other} differ by just that. Was one written for the other?"
            for label, one in items
            if (other := _slip(abs(one).minor, size)) is not None
        ][:MOST_NAMED]
    return found


def _by_nine(size: int) -> str:
    ninth = size // 9
    shown = ninth
    while shown and shown % 10 == 0:
        shown //= 10
    words = f"{Money(size)} is divisible by 9. Look for a slid decimal point ({Money(ninth * 10)} for {Money(ninth)})"
    if 1 <= shown <= 8:  # two neighbors that differ by n change the number by 9n
        low, high = f"{1}{1 + shown}", f"{1 + shown}{1}"
        words += f", or for two swapped digits {shown} apart, like {high} for {low}"
    return words + "."


def _slip(minor: int, size: int) -> Money | None:
    """An amount that this one becomes by swapping two neighbor digits or sliding the point, and that is ``size`` away."""
    digits = str(minor)
    others = {
        int(digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :]) for at in range(len(digits) - 1)
    }
    others |= {minor * 10, minor * 100}
    others |= {minor // 10} if minor % 10 == 0 else set()
    others |= {minor // 100} if minor % 100 == 0 else set()
    return next((Money(other) for other in sorted(others) if other and abs(other - minor) == size), None)
