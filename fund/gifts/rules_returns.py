"""Gifts that go back, and money that comes back again: what each books. Pure.

``account`` is what the gift was credited to and is undone on: its own account of returned gifts, or the liability
while the money was not ours. ``way`` is where the money leaves: clearing for a platform, the bank otherwise.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import NamedTuple

from fund.gifts.rules import DISPUTE_WON, REFUND_FAILED
from fund.ledger import chart
from fund.ledger.rules import EntryDraft, LineDraft, cr, dr
from fund.money import Money

BACK_AGAIN = (DISPUTE_WON, REFUND_FAILED)
"""Returns with a negative amount: the gift stands again."""
OPEN, WON, LOST = "open", "won", "lost"
DISPUTES = {OPEN: "in dispute", WON: "won", LOST: "lost"}


class Gone(NamedTuple):
    """One gift that goes back whole. ``benefit`` is what is still set apart for something in return that was not sent."""

    code: str
    amount: Money
    purpose: str
    party: str
    benefit: Money = Money.zero


def undone(gone: Gone, account: str, text: str) -> list[LineDraft]:
    """The debit of a gift that goes back: what was set apart for its benefit, and the rest on ``account``."""
    lines = [
        dr(account, gone.amount - gone.benefit, purpose=gone.purpose, party=gone.party, text=text),
        dr(chart.BENEFITS, gone.benefit, party=gone.party, text=f"{text}: benefit not sent"),
    ]
    return [line for line in lines if line.amount]


def refund_entry(*, on: date, gone: Gone, way: str, account: str = chart.RETURNED) -> EntryDraft:
    """A gift given back whole, the way it came."""
    text = f"Gift {gone.code} refunded"
    lines = [
        *undone(gone, account, text),
        cr(way, gone.amount, purpose=gone.purpose, text=text),
    ]
    return EntryDraft(kind="refund", document_date=on, text=text, lines=lines, source=gone.code)


def refunds_entry(*, on: date, gone: Sequence[Gone], way: str, source: str, text: str) -> EntryDraft:
    """Many gifts given back at once through their platform; fees it does not return stay a cost."""
    lines: list[LineDraft] = []
    for one in gone:
        lines += undone(one, chart.RETURNED, f"Gift {one.code} refunded")
    purposes = sorted({one.purpose for one in gone})
    for purpose in purposes:
        sent = Money(sum(one.amount.minor for one in gone if one.purpose == purpose))
        lines.append(cr(way, sent, purpose=purpose, text=text))
    return EntryDraft(kind="refund", document_date=on, text=text, lines=lines, source=source)


def chargeback_entry(*, on: date, gone: Gone, way: str, fee: Money) -> EntryDraft:
    """A cardholder's bank took a gift back; the fee is a bank charge and stays one even when the dispute is won.

    No repair is touched: the fund is poorer, not the job.
    """
    text = f"Gift {gone.code} charged back"
    lines = [
        *undone(gone, chart.RETURNED, text),
        dr(chart.BANK_FEES, fee, text="Dispute fee"),
        cr(way, gone.amount, purpose=gone.purpose, text=text),
        cr(way, fee, text="Dispute fee"),
    ]
    return EntryDraft(kind="chargeback", document_date=on, text=text, lines=lines, source=gone.code)


def dispute_won_entry(*, on: date, gone: Gone, way: str) -> EntryDraft:
    """The platform gives a disputed gift back to the fund; the benefit that ended with it is owed again."""
    text = f"Dispute of gift {gone.code} won"
    again = [replace(line, amount=-line.amount) for line in undone(gone, chart.RETURNED, text)]
    lines = [dr(way, gone.amount, purpose=gone.purpose, text=text), *again]
    return EntryDraft(kind="dispute won", document_date=on, text=text, lines=lines, source=gone.code)


def returned_check_entry(
    *, on: date, gone: Gone, bank_fee: Money, check: str, account: str = chart.RETURNED
) -> EntryDraft:
    """A check the bank sent back: the gift is undone on its own account, the bank's charge is a cost."""
    text = f"Check {check} returned by the bank"
    charge = "Bank charge for a returned check"
    lines = [
        *undone(gone, account, text),
        cr(chart.BANK, gone.amount, purpose=gone.purpose, text=text),
        dr(chart.BANK_FEES, bank_fee, text=charge),
        cr(chart.BANK, bank_fee, text=charge),
    ]
    return EntryDraft(kind="returned check", document_date=on, text=text, lines=lines, source=gone.code)


def benefit_back_entry(
    *, on: date, code: str, value: Money, party: str, name: str, again: bool
) -> EntryDraft:
    """A platform's file sent a gift back whole: what was set apart for its benefit is owed no more, or owed ``again``."""
    text = f"Gift {code}: {name} {'owed again' if again else 'owed no more'}"
    takes, gives = (chart.RETURNED, chart.BENEFITS) if again else (chart.BENEFITS, chart.RETURNED)
    lines = [dr(takes, value, party=party, text=text), cr(gives, value, party=party, text=text)]
    return EntryDraft("benefit owed" if again else "benefit ended", on, text, lines, code)


def fraud_entry(*, on: date, code: str, amount: Money, words: str) -> EntryDraft:
    """Money that somebody was talked into sending by another way than the gift came: lost, whatever becomes of the gift."""
    lines = [dr(chart.FRAUD, amount, text=words), cr(chart.BANK, amount, text=words)]
    return EntryDraft(kind="fraud loss", document_date=on, text=words, lines=lines, source=code)
