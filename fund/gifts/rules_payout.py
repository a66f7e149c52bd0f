"""Which rows of a file belong to which payout, and whether a payout ties to the cent. Pure."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import NamedTuple

from fund.gifts.rules import REFUND
from fund.gifts.rules_layout import (
    BACK_AGAIN,
    DISPUTE_FEE,
    DISPUTE_FEE_BACK,
    FEE_BACK,
    GIFT,
    PAYOUT,
    RETURNS,
)
from fund.gifts.rules_rows import FileRow, Problem
from fund.money import Money


class Tie(NamedTuple):
    """What a payout is made of, and what the platform says it paid (`stated`)."""

    gross: Money
    platform_fee: Money
    processing_fee: Money
    dispute_fee: Money
    refunds: Money
    exchange: Money
    stated: Money

    @property
    def fees(self) -> Money:
        return self.platform_fee + self.processing_fee + self.dispute_fee

    @property
    def expected(self) -> Money:
        return self.gross - self.fees - self.refunds - self.exchange

    @property
    def difference(self) -> Money:
        """What was paid above what the rows come to; negative when too little was paid."""
        return self.stated - self.expected

    @property
    def off(self) -> str:
        """The difference in words: 0.01 too little."""
        way = "too much" if self.difference.minor > 0 else "too little"
        return f"{abs(self.difference)} {way}"

    def sentence(self, ref: str) -> str:
        """Why the payout does not tie, with the difference named."""
        exchange = f" - exchange {self.exchange}" if self.exchange else ""
        return (
            f"Payout {ref}: gifts {self.gross} - fees {self.fees} - returned {self.refunds}{exchange} "
            f"= {self.expected}, but the payout says {self.stated}: {self.off}."
        )


class Group(NamedTuple):
    """One payout of a file with the rows it is made of."""

    ref: str
    paid_on: date
    stated: Money
    row: int
    rows: list[FileRow]


class Grouping(NamedTuple):
    groups: list[Group]
    waiting: list[FileRow]
    problems: list[Problem]


def group_rows(rows: Sequence[FileRow], payout_column: str) -> Grouping:
    """Put rows to their payouts. `payout_column` is the header that names the payout, or empty.

    With a payout column, rows that name none wait on the platform, and rows that name a payout the file does not
    hold are a problem. Without one, the file must hold exactly one payout, and every row belongs to it.
    """
    heads = [row for row in rows if row.kind == PAYOUT]
    moves = [row for row in rows if row.kind != PAYOUT]
    if not payout_column and len(heads) != 1:
        what = "has no payout row" if not heads else f"has {len(heads)} payout rows"
        reason = f"The file {what}; without a payout column it must have exactly one, or gifts cannot be put to it."
        return Grouping([], [], [Problem(1, "", reason)])
    problems: list[Problem] = []
    groups: dict[str, Group] = {}
    for head in heads:
        if head.payout in groups:
            problems.append(Problem(head.row, payout_column, f"payout {head.payout} is named twice."))
        groups[head.payout] = Group(head.payout, head.on, head.amount, head.row, [])
    waiting: list[FileRow] = []
    for move in moves:
        if not payout_column:
            groups[heads[0].payout].rows.append(move)
        elif not move.payout:
            waiting.append(move)
        elif move.payout in groups:
            groups[move.payout].rows.append(move)
        else:
            reason = f"payout {move.payout} has no payout row in this file. Export the whole payout."
            problems.append(Problem(move.row, payout_column, reason))
    return Grouping(list(groups.values()), waiting, problems)


def tie_rows(rows: Iterable[FileRow], stated: Money, *, own_fees_are_processing: bool) -> Tie:
    """Add up what a payout is made of. Whole minor units throughout, so a cent cannot hide."""
    gross = platform = processing = dispute = refunds = exchange = 0
    for row in rows:
        amount = row.amount.minor
        exchange += row.exchange.minor
        if row.kind == GIFT:
            gross += amount
            platform += row.platform_fee.minor
            processing += row.processing_fee.minor
        elif row.kind in RETURNS:
            refunds += amount
            if row.kind == REFUND:
                processing += row.fees.minor
            else:
                dispute += row.fees.minor
        elif row.kind in BACK_AGAIN:
            refunds -= amount
        elif row.kind in (DISPUTE_FEE, DISPUTE_FEE_BACK):
            dispute += amount if row.kind == DISPUTE_FEE else -amount
        elif own_fees_are_processing:
            processing += signed_fee(row)
        else:
            platform += signed_fee(row)
    return Tie(
        gross=Money(gross),
        platform_fee=Money(platform),
        processing_fee=Money(processing),
        dispute_fee=Money(dispute),
        refunds=Money(refunds),
        exchange=Money(exchange),
        stated=stated,
    )


def signed_fee(row: FileRow) -> int:
    """What a row of its own took as a fee, in minor units; negative when it gave one back."""
    return -row.amount.minor if row.kind in (FEE_BACK, DISPUTE_FEE_BACK) else row.amount.minor


def net_by_purpose(rows: Iterable[FileRow], general: str) -> dict[str, Money]:
    """What of a payout belongs to each purpose: gross less returns; fees and exchange come out of general money."""
    nets: dict[str, int] = {general: 0}
    for row in rows:
        amount = row.amount.minor
        if row.kind == GIFT or row.kind in BACK_AGAIN:
            nets[row.purpose] = nets.get(row.purpose, 0) + amount
        elif row.kind in RETURNS:
            nets[row.purpose] = nets.get(row.purpose, 0) - amount
        else:
            nets[general] -= signed_fee(row)
        nets[general] -= row.fees.minor + row.exchange.minor
    return {purpose: Money(minor) for purpose, minor in nets.items()}
