"""What all readers of statements share: amounts, days and XML read safely."""

import hashlib
import re
from collections.abc import Sequence
from typing import Any
from xml.etree.ElementTree import ParseError

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import fromstring

from fund.bank.rules import BankRow
from fund.money import Money, parse_money
from fund.refusal import BadInput

_SPACES = re.compile(r"\s+")
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f]")


DEEPEST = 60
"""Levels of elements in a statement; camt.053 needs about 15, OFX about 10."""
TOO_DEEP = (
    f"The file holds elements within elements more than {DEEPEST} deep, which no bank writes. Nothing was taken from it. "
    "Download the statement once more."
)


class NoStatement(BadInput):
    """The file holds no bank statement at all."""


def clean(text: str, longest: int) -> str:
    """One line of text without control characters, cut to what a column holds."""
    if text.isprintable() and "  " not in text:
        return text.strip()[:longest]
    return _SPACES.sub(" ", _CONTROL.sub(" ", text)).strip()[:longest]


def row_money(text: str, where: object, decimal_mark: str = ".") -> Money:
    """An amount as a bank writes it: a sign in front or behind, no group marks or those of the decimal mark's kind."""
    raw = text.strip().replace(" ", "").replace("'", "")
    if raw[-1:] in "+-" and raw[-1:]:
        raw = raw[-1] + raw[:-1]
    if decimal_mark == "." and re.fullmatch(r"[+-]?\d+,\d{1,2}", raw):
        raw = raw.replace(",", ".")  # the specification allows a comma as the decimal mark
    try:
        return parse_money(raw, decimal_mark)
    except BadInput as refusal:
        raise BadInput(f"{where}: {refusal.sentence}") from refusal


def made_refs(rows: Sequence[BankRow]) -> list[str]:
    """Keys for rows the bank gave no id: a digest of day, amount and words."""
    return [
        ""
        if row.ref
        else hashlib.sha256(
            f"{row.on}|{row.amount.minor}|{row.name}|{row.text}|{row.check_number}".encode()
        ).hexdigest()[:24]
        for row in rows
    ]


def refuse_deep(root: Any) -> None:
    """Refuse an element with more than ``DEEPEST`` levels below it. Goes level by level, so that no file is too deep to see."""
    level, depth = [root], 0
    while level:
        depth += 1
        if depth > DEEPEST:
            raise BadInput(TOO_DEEP)
        level = [child for element in level for child in element]


def parse_xml(data: bytes) -> Any:
    """The root of an XML file. Entities of its own are refused at once, a broken file by its line, and one that is
    nested deeper than any statement."""
    try:
        root = fromstring(data, forbid_dtd=True)
    except DefusedXmlException as error:
        raise BadInput(
            "The file declares entities of its own, which no bank does and which can be made to fill a computer's memory. "
            "It was not read."
        ) from error
    except (ParseError, ValueError, LookupError) as error:
        line, column = getattr(error, "position", (0, 0))
        last = data.count(b"\n") + 1
        if line >= last:
            raise BadInput(
                f"The file is cut off: it ends in line {last}, column {column}, before its last element is closed. "
                "Nothing was taken from it. Download it once more."
            ) from error
        raise BadInput(
            f"The file is broken in line {line}, column {column}. Download it once more."
        ) from error
    refuse_deep(root)
    return root
