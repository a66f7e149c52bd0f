"""Restricted money that leaves its pot without being spent on what its giver named. Pure."""

from datetime import date

from fund.ledger import chart
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money

RELEASE, RETURN, REPAY = "release", "return", "repay"
CHANGES = {
    RELEASE: "released by the giver in writing",
    RETURN: "sent back to the giver",
    REPAY: "general money repays the pot",
}
ASKED, DONE, REFUSED = "asked", "done", "refused"
STATES = {ASKED: "waits for a second person", DONE: "done", REFUSED: "refused"}


def restriction_entry(
    *, kind: str, on: date, code: str, purpose: str, amount: Money, words: str, account: str, party: str = ""
) -> EntryDraft:
    """The entry of a change: a release or a repayment moves cash between purposes, a return sends it back.

    ``account`` is where the cash lies: the bank, or for a return the way the gift came. Net assets and cash move
    together, so that each purpose balances (ASC 958-205-45, reclassification on release of a restriction).
    """
    text = f"{code}: {CHANGES[kind]}. {words}"
    if kind == RETURN:
        lines = [
            dr(chart.RETURNED, amount, purpose=purpose, party=party, text=words),
            cr(account, amount, purpose=purpose, text=words),
        ]
        return EntryDraft("restricted gift returned", on, text, lines, code)
    into = amount if kind == REPAY else -amount
    lines = [
        dr(chart.NET_FREE, into),
        cr(chart.BANK, into),
        dr(chart.BANK, into, purpose=purpose),
        cr(chart.NET_RESTRICTED, into, purpose=purpose),
    ]
    return EntryDraft("release" if kind == RELEASE else "restriction repaid", on, text, lines, code)
