"""Whether two photos may show the same paper: what is printed on them decides, the pictures only help. Pure.

Receipts of one store are laid out alike, and a phone held differently changes more of a picture than another purchase
does. Measured with the difference hash of :mod:`fund.attachments.likeness` (common practice, no source) on the 51
receipts of the invented fund that have a photo: 124 of the 1,275 pairs of different papers lie within ``ALIKE``, and so
do 94 % of copies that were scaled, brightened and saved anew, but only 12 % of papers photographed again at another
angle. So the picture alone says nothing; with store, day and total it tells an altered number.

By these rules no pair of them is called alike, nor one of the 1,326 pairs of drawn papers of the tests, and every paper
photographed again is found when its store and its number, or its store and total, are typed as printed. Whoever
alters number and day, or the store, is not found this way.
"""

import re
from datetime import date
from typing import NamedTuple

from fund.attachments.likeness import ALIKE
from fund.money import Money

_WORDS = re.compile(
    r"^(?:invoice|inv|receipt|rcpt|ticket|transaction|trans|sale|order|slip|number|num|no|nr)+(?=\d)"
)


def plain_number(number: str) -> str:
    """A number as compared: case, marks, leading zeros and the word before it do not count. “INV 030812” is 30812."""
    bare = "".join(char for char in number.casefold() if char.isalnum())
    return re.sub(r"^0+(?=.)", "", _WORDS.sub("", bare))


def may_be_one_number(one: str, other: str) -> bool:
    """Whether two papers of one store, day and total may carry the same number: one without speaks against nothing."""
    first, second = plain_number(one), plain_number(other)
    return not first or not second or first == second


class Print(NamedTuple):
    """What a paper says of itself, as it was typed or read. None and empty for what is not known yet."""

    store: str
    number: str
    total: Money | None
    on: date | None = None

    @property
    def plain_store(self) -> str:
        return " ".join(self.store.split()).casefold()

    @property
    def plain_number(self) -> str:
        return plain_number(self.number)


def may_be_one_paper(one: Print, other: Print, bits: int | None) -> bool:
    """The same store, and the same number, or the same total where the number does not speak against it.

    A number speaks against it when both papers have one and they differ, unless they are of the same day and the
    pictures, ``bits`` apart (None when one has no picture), are copies of each other. The day is asked because a bill that
    comes every month over the same total is another paper, though its picture hardly differs.
    """
    if not one.plain_store or one.plain_store != other.plain_store:
        return False
    if one.plain_number and one.plain_number == other.plain_number:
        return True
    if one.total is None or one.total != other.total:
        return False
    numbered = bool(one.plain_number and other.plain_number)
    return not numbered or (one.on == other.on and bits is not None and bits <= ALIKE)
