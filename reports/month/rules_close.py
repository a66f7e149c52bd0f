"""What stands between a month and its close. Data and words only; :mod:`queries_close` looks the facts up."""

from dataclasses import dataclass

from fund.money import Money
from fund.refusal import NotReady

STALE_DAYS = 60  # a promise without a purchase for this long is priced anew (common practice, no source)
CLOSE_MEANS = (
    "Nothing more can be posted in it, by anyone.",
    "What comes to light later is posted in the next month and told there.",
    "It is published in a second step.",
)


def publish_means(closed_by: str, alone: bool) -> tuple[str, ...]:
    """What publishing a month means; `closed_by` prepared it, and is the one who publishes where they are `alone`."""
    signed = (
        "You closed it yourself, so the page says that it was not independently reviewed, and why."
        if alone
        else f"{closed_by} closed it and is named as the one who prepared it; you sign as the one who reviewed it."
    )
    return (
        "Anyone can read it from then on, and copies cannot be called back.",
        signed,
        "Every text is searched for names, streets, plates, VINs and telephone numbers first.",
    )


@dataclass(frozen=True, slots=True)
class Stop:
    """One line of the close list. ``who`` can put it right; only a line that ``blocks`` stops the close."""

    code: str
    text: str
    who: str
    blocks: bool
    url: str = ""
    amount: Money | None = None

    @property
    def word(self) -> str:
        return "stops the close" if self.blocks else "to look at"


def stopping(stops: list[Stop]) -> list[Stop]:
    return [stop for stop in stops if stop.blocks]


def refuse_stops(month: str, stops: list[Stop]) -> None:
    """Refuse to close while a line of the close list blocks; each is named with who can put it right."""
    blocking = stopping(stops)
    if blocking:
        raise NotReady(
            f"{month} cannot be closed yet.",
            [f"{stop.text} ({stop.who} can put it right.)" for stop in blocking],
        )


def many(count: int, one: str, more: str) -> str:
    """``1 receipt`` or ``3 receipts``."""
    return f"{count} {one if count == 1 else more}"
