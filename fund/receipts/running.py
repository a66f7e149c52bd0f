"""What the form says while it is being filled in: the sum so far, whether the paper is known, what stops it later."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from fund.money import Money, parse_money, total
from fund.receipts.homes import HOMES
from fund.receipts.models import Receipt
from fund.receipts.quantities import parse_quantity, quantity_words
from fund.receipts.queries import on_shelf_like, papers_like
from fund.receipts.rules import (
    LineInput,
    PortionInput,
    Share,
    cost_by_repair,
    extra_shares,
    portions_of,
    sums_or_explanation,
    tax_shares,
)
from fund.receipts.rules_rate import core_question
from fund.receipts.telling import Charge, charges_of
from fund.refusal import BadInput

LINES_LOOKED_UP = 20  # on the shelf, for each change of the form


@dataclass(frozen=True, slots=True)
class Running:
    """``words`` is the sum in a sentence, ``ties`` whether it is the total, ``like`` receipts of the same paper.

    ``stops`` are the repairs that would pass their approval and its tolerance, ``there`` what lies on the shelf already,
    ``cores`` what will be asked about the tax on core deposits.
    """

    words: str
    ties: bool
    like: list[Receipt] = field(default_factory=list)
    stops: list[Charge] = field(default_factory=list)
    there: list[str] = field(default_factory=list)
    cores: str = ""


def running(data: Mapping[str, str], receipt: Receipt | None = None) -> Running:
    """Reads what is there and passes over what cannot be read yet; the form itself says what is wrong with it."""
    lines = _lines(data)
    amounts = [line.amount for line in lines]
    tax, paid = _money(data.get("tax", "")) or Money.zero, _money(data.get("total", ""))
    freight, discount = _money(data.get("freight", "")), _money(data.get("discount", ""))
    extra = (freight or Money.zero) - (discount or Money.zero)
    stops = [charge for charge in _charges(lines, tax, freight, discount) if charge.why]
    there = _there(lines)
    rows = [(line.amount, line.portions[0].home == "core", line.taxable) for line in lines]
    cores = core_question(rows, tax, freight or Money.zero, discount or Money.zero)
    both = total(amounts) + extra
    if paid is None:
        words = f"Lines {both} + tax {tax} = {both + tax}. The total is not written yet."
        return Running(words, False, [], stops, there, cores)
    why = sums_or_explanation(amounts, tax, paid, extra)
    words = why or f"Lines {both} + tax {tax} = {both + tax}, as the receipt says."
    return Running(words, not why, _like(data, paid, receipt), stops, there, cores)


def _lines(data: Mapping[str, str]) -> list[LineInput]:
    """The rows that have an amount, in the order of the form."""
    found = []
    for name in data:
        if name.endswith("-amount") and (amount := _money(data[name])):
            row = name.removesuffix("-amount")
            found.append(_line(data, row, amount))
    return found


def _line(data: Mapping[str, str], row: str, amount: Money) -> LineInput:
    home = data.get(f"{row}-home") or data.get("all_home", "")
    home = home if home in HOMES else "supplies"
    repair = data.get(f"{row}-repair") or data.get("all_repair") or None
    repair = repair if HOMES[home].repair != "no" else None
    quantity = _quantity(data.get(f"{row}-quantity", "")) or 1000
    shelf = _quantity(data.get(f"{row}-shelf_quantity", ""))
    portions = [PortionInput(home, repair)]
    if 0 < shelf < quantity:
        portions.append(PortionInput("shelf", None, shelf))
    return LineInput(
        data.get(f"{row}-text", "").strip(),
        amount,
        tuple(portions),
        taxable=bool(data.get(f"{row}-taxed")),
        quantity=quantity,
    )


def _charges(
    lines: list[LineInput], tax: Money, freight: Money | None, discount: Money | None
) -> list[Charge]:
    """What each repair would be charged so far; nothing while tax or shipping cannot be shared yet."""
    if any(line.amount < Money.zero for line in lines):
        return []
    try:
        taxes = tax_shares([line.amount for line in lines], [line.taxable for line in lines], tax)
        extras = extra_shares(lines, freight or Money.zero, discount or Money.zero)
    except BadInput:
        return []
    shares: list[Share] = []
    for line, share, extra in zip(lines, taxes, extras, strict=True):
        shares += portions_of(line, share + extra)
    return charges_of(cost_by_repair(shares))


def _there(lines: list[LineInput]) -> list[str]:
    """``Coolant: 3 quarts in L-0005``, for lines that name something the shelf holds."""
    words = {line.text for line in lines if len(line.text) >= 3 and line.portions[0].home != "core"}
    return [
        f"{lot.item}: {quantity_words(lot.left_quantity, lot.unit)} in {lot.code}"
        for lot in on_shelf_like(sorted(words)[:LINES_LOOKED_UP])
    ]


def _like(data: Mapping[str, str], paid: Money, receipt: Receipt | None) -> list[Receipt]:
    try:
        on = date.fromisoformat(data.get("on", ""))
    except ValueError:
        return []
    if not data.get("store", "").strip():
        return []
    return papers_like(data["store"], data.get("number", ""), on, paid, receipt.pk if receipt else None)


def _money(text: str) -> Money | None:
    try:
        return parse_money(text)
    except BadInput:
        return None


def _quantity(text: str) -> int:
    try:
        return parse_quantity(text)
    except BadInput:
        return 0
