"""camt.053, the bank-to-customer statement of ISO 20022, in the versions banks send (02 to 08 and later).

Amounts in it are always positive; CdtDbtInd gives the sign. Only booked entries count (Sts BOOK, a plain code in 02 and
Sts/Cd from 08 on).
"""

import re
from collections.abc import Iterator
from datetime import date
from typing import Any

from fund.bank.rules import CAMT, BankRow, Sheet, with_own_refs
from fund.bank.rules_text import NoStatement, clean, made_refs, parse_xml, row_money
from fund.money import Money
from fund.refusal import BadInput

_SPACE = re.compile(r"\{urn:iso:std:iso:20022:tech:xsd:camt\.(\d{3})\.\d{3}\.(\d{2})\}")
OPENING_CODES, CLOSING_CODES = ("OPBD", "PRCD"), ("CLBD",)


def is_camt(head: str) -> bool:
    return "camt.05" in head


def read_camt(data: bytes) -> list[Sheet]:
    """The statements in a camt.053 file. Refuses a report of the day (052), a single notice (054) and a broken file."""
    root = parse_xml(data)
    found = _SPACE.match(root.tag)
    if found is None:
        raise NoStatement("This XML is not a camt.053 statement. Ask the bank for “camt.053” or OFX.")
    if found[1] != "053":
        raise BadInput(
            f"This is camt.{found[1]}, which is not the final statement. Ask the bank for camt.053."
        )
    space = root.tag[: root.tag.index("}") + 1]
    sheets = [_sheet(node) for node in Node(root, space).all("BkToCstmrStmt/Stmt")]
    if not sheets:
        raise NoStatement("There is no statement in this camt.053 file.")
    return sheets


class Node:
    """An element seen without its name space."""

    __slots__ = ("element", "space")

    def __init__(self, element: Any, space: str) -> None:
        self.element, self.space = element, space

    def all(self, path: str) -> Iterator["Node"]:
        names = "/".join(f"{self.space}{name}" for name in path.split("/"))
        for found in self.element.iterfind(names):
            yield Node(found, self.space)

    def text(self, *paths: str) -> str:
        """The text of the first of these paths that holds any."""
        for path in paths:
            for found in self.all(path):
                if value := (found.element.text or "").strip():
                    return str(value)
        return ""


def _sheet(statement: Node) -> Sheet:
    opening, closing, closing_on = _balances(statement)
    rows = []
    for place, entry in enumerate(statement.all("Ntry"), start=1):
        if (entry.text("Sts/Cd", "Sts") or "BOOK") == "BOOK":
            rows.append(_row(entry, f"Entry {place}"))
    return Sheet(
        CAMT,
        with_own_refs(rows, made_refs(rows)),
        account=statement.text("Acct/Id/IBAN", "Acct/Id/Othr/Id"),
        currency=statement.text("Acct/Ccy") or _currency(statement),
        opening=opening,
        closing=closing,
        closing_on=closing_on,
    )


def _currency(statement: Node) -> str:
    for amount in statement.all("Bal/Amt"):
        return str(amount.element.get("Ccy", ""))
    return ""


def _balances(statement: Node) -> tuple[Money | None, Money | None, date | None]:
    told: dict[str, tuple[Money, date | None]] = {}
    for balance in statement.all("Bal"):
        code = balance.text("Tp/CdOrPrtry/Cd")
        where = f"Balance {code}"
        day = balance.text("Dt/Dt", "Dt/DtTm")
        told.setdefault(code, (_signed(balance, where), _day(day, where) if day else None))
    opening = next((told[code][0] for code in OPENING_CODES if code in told), None)
    closing, on = next((told[code] for code in CLOSING_CODES if code in told), (None, None))
    return opening, closing, on


def _row(entry: Node, where: str) -> BankRow:
    parts = list(entry.all("NtryDtls/TxDtls"))
    amount = _signed(entry, where)
    party = "RltdPties/Dbtr" if amount >= Money.zero else "RltdPties/Cdtr"
    names = {part.text(f"{party}/Pty/Nm", f"{party}/Nm") for part in parts} - {""}
    words = [entry.text("AddtlNtryInf")]
    for part in parts[:20]:  # a batch may hold hundreds; the line's words need not
        words += [
            part.text("Refs/EndToEndId"),
            part.text("RmtInf/Ustrd"),
            part.text("RmtInf/Strd/CdtrRefInf/Ref"),
        ]
    said = dict.fromkeys(word for word in words if word and word != "NOTPROVIDED")
    code = "/".join(
        filter(None, (entry.text("BkTxCd/Domn/Fmly/Cd"), entry.text("BkTxCd/Domn/Fmly/SubFmlyCd")))
    )
    reversal = entry.text("RvslInd") == "true"
    return BankRow(
        ref=clean(entry.text("AcctSvcrRef", "NtryRef"), 90),
        on=_day(entry.text("BookgDt/Dt", "BookgDt/DtTm", "ValDt/Dt", "ValDt/DtTm"), where),
        amount=amount,
        name=clean(", ".join(sorted(names)[:3]), 140),
        text=clean(("Reversal: " if reversal else "") + " ".join(said), 300),
        kind=clean(code, 20),
        check_number=clean(next((n for part in parts if (n := part.text("Refs/ChqNb"))), ""), 20),
    )


def _signed(node: Node, where: str) -> Money:
    amount, sign = node.text("Amt"), node.text("CdtDbtInd")
    if not amount or sign not in ("CRDT", "DBIT"):
        raise BadInput(f"{where} has no amount, or does not say whether it is a credit or a debit.")
    value = row_money(amount, where)
    return value if sign == "CRDT" else -value


def _day(text: str, where: str) -> date:
    """The day as written; a time behind it and its zone are left alone."""
    try:
        return date.fromisoformat(text[:10])
    except ValueError as error:
        raise BadInput(f"{where}: “{text[:30]}” is not a date.") from error
