"""OFX: 1.x is SGML whose single values are never closed, 2.x is XML. Both hold the same elements.

The elements are those of the OFX specification (BANKTRANLIST, STMTTRN, LEDGERBAL). Own reading, because a general
library takes a file that was cut off for a whole one.
"""

import re
from datetime import date
from html import unescape
from typing import Any

from fund.bank.rules import DELETE, OFX, REPLACE, BankRow, Sheet, with_own_refs
from fund.bank.rules_text import DEEPEST, TOO_DEEP, NoStatement, clean, made_refs, parse_xml, row_money
from fund.refusal import BadInput

_TAG = re.compile(r"<(/?)([A-Za-z][A-Za-z0-9._]*)\s*(/?)>([^<]*)")
_LEAF = re.compile(r"<([A-Za-z][A-Za-z0-9._]*)>([^<]*)")
_END = re.compile("</STMTTRN>", re.I)
_BEGIN = re.compile("<STMTTRN>", re.I)
_HOLDERS = frozenset({"OFX", "BANKMSGSRSV1", "STMTTRNRS", "STMTRS", "BANKACCTFROM", "BANKTRANLIST", "LEDGERBAL", "AVAILBAL",
                      "CREDITCARDMSGSRSV1", "CCSTMTTRNRS", "CCSTMTRS"})  # fmt: skip
_FACTS = ("BANKACCTFROM", "LEDGERBAL", "STMTRS", "BANKTRANLIST")
Flat = list[tuple[str, str, dict[str, str], int]]
"""(element in capitals; its text, or for a holder "(" and ")"; the values of a transaction; its place in the file's text)"""
NOTHING: dict[str, str] = {}
_WINDOWS = {"1252": "cp1252", "ISO-8859-1": "latin-1", "8859-1": "latin-1", "NONE": "cp1252", "": "cp1252"}


def is_ofx(head: str) -> bool:
    return "OFXHEADER" in head or "<OFX>" in head.upper()


def encoding_of(head: str) -> str:
    """The encoding that the header of OFX 1.x names; the XML of 2.x tells its own."""
    told = dict(re.findall(r"^\s*([A-Z]+)\s*:\s*([\w.-]*)\s*$", head, re.M))
    if told.get("ENCODING", "").upper() in ("UTF-8", "UTF8", "UNICODE"):
        return "utf-8"
    return _WINDOWS.get(told.get("CHARSET", "").upper(), "cp1252")


def read_ofx(data: bytes) -> list[Sheet]:
    """The bank statements in an OFX file. Refuses a file that breaks off, and one without a bank statement."""
    head = data[:1500].decode("latin-1")
    if re.match(r"\s*(\ufeff|ï»¿)?<\?xml", head):
        text, flat = "", _flat_xml(data)
    else:
        text = _decoded(data, encoding_of(head))
        flat = _flat_sgml(text)
    sheets, inside = [], None
    for at, (name, value, _, _) in enumerate(flat):
        if name == "STMTRS" and value == "(":
            inside = at
        elif name == "STMTRS" and inside is not None:
            sheets.append(_sheet(flat[inside:at], text))
            inside = None
        elif name == "CCSTMTRS":
            raise BadInput("This is the statement of a credit card, not of a bank account.")
    if not sheets:
        raise NoStatement(
            "There is no bank statement in this OFX file. Download the account's transactions once more."
        )
    return sheets


def _decoded(data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")  # a header that names the wrong encoding is common


def _flat_sgml(text: str) -> Flat:
    start = re.search(r"<OFX>", text, re.I)
    if start is None:
        raise NoStatement("The OFX file ends before its statement begins. Download it once more.")
    flat: Flat = []
    open_holders: list[tuple[str, int]] = []
    at = start.start()
    while found := _TAG.search(text, at):
        closes, name, empty, value = found.groups()
        name, here, at = name.upper(), found.start(), found.end()
        if name == "STMTTRN" and not closes:
            at = _end_of(text, here)
            flat.append((name, "", _leaves(text, here, at), here))
        elif name not in _HOLDERS:
            if not closes and not empty:
                flat.append((name, unescape(value.strip()), NOTHING, here))
        elif not closes:
            open_holders.append((name, here))
            if len(open_holders) > DEEPEST:
                raise BadInput(TOO_DEEP)
            flat.append((name, "(", NOTHING, here))
        elif open_holders and open_holders[-1][0] == name:
            open_holders.pop()
            flat.append((name, ")", NOTHING, here))
        else:
            line = _line(text, here)
            raise BadInput(f"The file is broken: line {line} closes {name}, which is not open there.")
    if open_holders:
        raise BadInput(_cut_off(text, *open_holders[-1]))
    return flat


def _end_of(text: str, begin: int) -> int:
    """Where the transaction that begins here ends. Refuses one that does not."""
    end, following = _END.search(text, begin), _BEGIN.search(text, begin + 1)
    if following is not None and (end is None or following.start() < end.start()):
        line = _line(text, begin)
        raise BadInput(f"The file is broken: the transaction begun in line {line} never ends.")
    if end is None:
        raise BadInput(_cut_off(text, "STMTTRN", begin))
    return end.end()


def _leaves(text: str, begin: int, end: int) -> dict[str, str]:
    """The values of a transaction by element; of two with one name the first holds."""
    found = reversed(_LEAF.findall(text, begin + len("<STMTTRN>"), end))
    return {name.upper(): unescape(value.strip()) if "&" in value else value.strip() for name, value in found}


def _line(text: str, at: int) -> int:
    return text.count("\n", 0, at) + 1


def _cut_off(text: str, holder: str, begin: int) -> str:
    ids = [ref.strip() for ref in re.findall(r"<FITID>([^<]*)<", text)]
    where = f", after the transaction {ids[-1]}" if ids else ""
    return (
        f"The file is cut off: it ends in line {_line(text, len(text))}{where}, and {holder} of line {_line(text, begin)} is "
        "never closed. Nothing was taken from it. Download it once more."
    )


def _flat_xml(data: bytes) -> Flat:
    flat: Flat = []

    def walk(element: Any) -> None:
        name = element.tag.rpartition("}")[2].upper()
        if name == "STMTTRN":
            told: dict[str, str] = {}
            for leaf in element.iter():
                told.setdefault(leaf.tag.rpartition("}")[2].upper(), (leaf.text or "").strip())
            flat.append((name, "", told, 0))
        elif name in _HOLDERS:
            flat.append((name, "(", NOTHING, 0))
            for child in element:
                walk(child)
            flat.append((name, ")", NOTHING, 0))
        else:
            flat.append((name, (element.text or "").strip(), NOTHING, 0))

    walk(parse_xml(data))
    return flat


def _sheet(flat: Flat, whole: str) -> Sheet:
    told: dict[str, str] = {}
    rows: list[BankRow] = []
    holders: list[str] = []
    for name, text, values, at in flat:
        if name == "STMTTRN":
            rows.append(_row(values, Place(whole, at, len(rows) + 1)))
        elif name in _HOLDERS:
            if text == "(":
                holders.append(name)
            else:
                holders.pop()
        elif holders[-1] in _FACTS:
            told.setdefault(name, text)
    closing = told.get("BALAMT")
    return Sheet(
        OFX,
        with_own_refs(rows, made_refs(rows)),
        account=told.get("ACCTID", ""),
        currency=told.get("CURDEF", ""),
        closing=row_money(closing, "LEDGERBAL") if closing else None,
        closing_on=_day(told["DTASOF"], "LEDGERBAL") if closing and told.get("DTASOF") else None,
    )


class Place:
    """Where a transaction stands, put into words only when it has to be named."""

    __slots__ = ("at", "number", "text")

    def __init__(self, text: str, at: int, number: int) -> None:
        self.text, self.at, self.number = text, at, number

    def __str__(self) -> str:
        line = f" (line {_line(self.text, self.at)})" if self.text else ""
        return f"Transaction {self.number}{line}"


def _row(told: dict[str, str], where: Place) -> BankRow:
    for name in ("DTPOSTED", "TRNAMT"):
        if not told.get(name):
            raise BadInput(f"{where} has no {name}. Nothing was taken from the file.")
    action = told.get("CORRECTACTION", "").strip().lower()
    corrects = told.get("CORRECTFITID", "")
    if corrects and action not in (REPLACE, DELETE):
        raise BadInput(f"{where} corrects {corrects}, but does not say whether it replaces or deletes it.")
    return BankRow(
        ref=clean(told.get("FITID", ""), 100),
        on=_day(told["DTPOSTED"], where),
        amount=row_money(told["TRNAMT"], where),
        name=clean(told.get("NAME", "") or told.get("PAYEEID", ""), 140),
        text=clean(" ".join(filter(None, (told.get("MEMO", ""), told.get("REFNUM", "")))), 300),
        kind=clean(told.get("TRNTYPE", ""), 20).upper(),
        check_number=clean(told.get("CHECKNUM", ""), 20),
        corrects=corrects,
        correction=action if corrects else "",
    )


def _day(text: str, where: object) -> date:
    """The day as it is written. The time and its zone are left alone: banks write noon, midnight or nothing, and a shift
    would move lines into another month."""
    try:
        if not text[:8].isdigit():
            raise ValueError
        return date.fromisoformat(text[:8])
    except ValueError as error:
        raise BadInput(f"{where}: “{text[:30]}” is not a date as OFX writes it (20260314).") from error
