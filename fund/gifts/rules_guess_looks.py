"""What the cells of a column look like, and what that says where no header does. Pure."""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from fund.gifts.rules_guess_words import HIDDEN
from fund.gifts.rules_rows import parse_day
from fund.money import Money, parse_money
from fund.refusal import BadInput

MOST_WORDS = 20  # a column with more different words than this does not say what kind a row is
_EMAIL = re.compile(r"[^@\s]+@[^@\s]+\.[^@\s]+")
_CURRENCY = re.compile(r"[A-Z]{3}")
_RATE = re.compile(r"\d{1,4}[.,]\d{2,6}")
_SPACED = re.compile(r"[^\W\d_]+[.,]? [^\W\d_].*")


class Look(NamedTuple):
    """What the cells of a column look like, as shares of those that are not empty."""

    filled: float
    date: float
    money: float
    email: float
    currency: float
    rate: float
    spaced: float
    different: int
    unique: bool
    yesno: bool


def look_at(cells: Sequence[str], date_order: str, decimal_mark: str) -> Look:
    filled = [cell for cell in cells if cell]

    def share(fits: Callable[[str], object]) -> float:
        return sum(bool(fits(cell)) for cell in filled) / (len(filled) or 1)

    return Look(
        filled=len(filled) / (len(cells) or 1),
        date=share(lambda cell: parse_day(cell, date_order) is not None),
        money=share(lambda cell: money_in(cell, decimal_mark) is not None),
        email=share(_EMAIL.fullmatch),
        currency=share(_CURRENCY.fullmatch),
        rate=share(_RATE.fullmatch),
        spaced=share(_SPACED.fullmatch),
        different=len(set(filled)),
        unique=len(set(filled)) == len(filled) > 0,
        yesno=bool(filled)
        and {cell.casefold() for cell in filled} <= HIDDEN | {"no", "false", "0", "public"},
    )


def money_in(text: str, mark: str) -> Money | None:
    try:
        return parse_money(text, mark)
    except BadInput:
        return None


def unnamed(
    looks: Sequence[Look],
    cells: Sequence[Sequence[str]],
    columns: Mapping[int, str],
    fees: Mapping[int, str],
    mark: str,
) -> dict[int, str]:
    """The needed columns that no header named, by their cells alone: a file in another language, say.

    The id is the first column that never repeats, the kind that with the fewest words, the amount that with the most money.
    """
    found: dict[int, str] = {}
    free = [index for index in range(len(looks)) if index not in columns and index not in fees]
    texts = [
        index
        for index in free
        if looks[index].filled == 1 and max(looks[index].date, looks[index].money, looks[index].email) < 0.5
    ]
    if "ref" not in columns.values():
        ids = [index for index in texts if looks[index].unique and looks[index].spaced < 0.5]
        found |= dict.fromkeys(ids[:1], "ref")
    if "type" not in columns.values():
        kinds = [index for index in texts if index not in found and 1 < looks[index].different <= MOST_WORDS]
        found |= dict.fromkeys(sorted(kinds, key=lambda index: looks[index].different)[:1], "type")
    if "amount" not in columns.values():
        sums = {
            index: sum(abs(amount.minor) for cell in cells[index] if (amount := money_in(cell, mark)))
            for index in free
            if looks[index].money > 0.95 and looks[index].filled > 0.9 and looks[index].date < 0.5
        }
        found |= dict.fromkeys(sorted(sums, key=lambda index: -sums[index])[:1], "amount")
    return found


def net_column(
    cells: Sequence[Sequence[str]], amount: int, fees: Sequence[int], able: Sequence[int], mark: str
) -> int | None:
    """The column that is the amount less the fees in nine rows of ten that have it; None if there is none.

    A column of fees may turn out to be it (``Left after fees``), so each candidate is tried against the other fees, the
    one with the most money first: gross less net is a fee as much as gross less fee is the net.
    """

    def whole(index: int) -> int:
        return sum(abs(money.minor) for cell in cells[index] if (money := money_in(cell, mark)))

    for index in sorted(able, key=whole, reverse=True):
        kept = [fee for fee in fees if fee != index]
        rows = [row for row in zip(*cells, strict=True) if row[index] and row[amount]] if kept else []
        held = 0
        for row in rows:
            gross, net = money_in(row[amount], mark), money_in(row[index], mark)
            if gross is None or net is None:
                continue
            taken = [money_in(row[fee], mark) for fee in kept if row[fee]]
            held += gross.minor - sum(abs(fee.minor) for fee in taken if fee) == net.minor
        if rows and held >= 0.9 * len(rows) and any(row[fee] for row in rows for fee in kept):
            return index
    return None
