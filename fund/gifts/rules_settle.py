"""Money that was not ours yet, benefits and loans: what each books. Pure."""

from collections.abc import Mapping
from datetime import date

from fund.gifts.rules_terms import CONDITIONAL, EARMARKED, UNIDENTIFIED
from fund.ledger import chart
from fund.ledger.rules import EntryDraft, LineDraft, cr, dr
from fund.money import Money

HELD_ON = {
    CONDITIONAL: chart.REFUNDABLE,
    EARMARKED: chart.REFUNDABLE,
    UNIDENTIFIED: chart.UNIDENTIFIED,
}
GENERAL = chart.GENERAL


def settled_entry(
    *,
    on: date,
    code: str,
    nature: str,
    amount: Money,
    party: str,
    words: str,
    purpose: str,
    restricted: bool,
    way: str,
) -> EntryDraft:
    """The money is ours now: the liability becomes a gift. A giver who is found may have named a purpose.

    A condition is met before the gift is income (ASC 958-605-25, conditional contributions).
    """
    text = f"Gift {code}: {words}"
    lines = [dr(HELD_ON[nature], amount, party=party, text=text)]
    if restricted:
        # The money that lies in `way` goes to the purpose with the gift, so that each purpose balances.
        lines += [cr(way, amount, text=text), dr(way, amount, purpose=purpose, text=text)]
        lines.append(cr(chart.GIFTS_RESTRICTED, amount, purpose=purpose, party=party, text=text))
    else:
        lines.append(cr(chart.GIFTS, amount, party=party, text=text))
    return EntryDraft("gift settled", on, text, lines, code)


def not_ours_entry(*, on: date, code: str, nature: str, amount: Money, party: str, words: str) -> EntryDraft:
    """A gift that was booked as ours and is not yet: out of income, to what may have to go back."""
    text = f"Gift {code}: {words}"
    lines = [
        dr(chart.GIFTS, amount, party=party, text=text),
        cr(HELD_ON[nature], amount, party=party, text=text),
    ]
    return EntryDraft("gift held back", on, text, lines, code)


def correction_entry(
    *, on: date, code: str, entry: int, more: Money, account: str, way: str, purpose: str, party: str
) -> EntryDraft:
    """A gift written down with the wrong amount: the difference only, with the gift's own date. ``more`` may be negative."""
    text = f"Gift {code}: amount of entry {entry} corrected"
    lines = [
        dr(way, more, purpose=purpose, text=text),
        cr(account, more, purpose=purpose, party=party, text=text),
    ]
    return EntryDraft("gift corrected", on, text, lines, code)


def benefit_owed_entry(*, on: date, code: str, value: Money, party: str, name: str) -> EntryDraft:
    """A part of a payment that is for something in return: not a gift, owed until it is sent."""
    text = f"Gift {code}: {name} owed in return"
    lines = [
        dr(chart.GIFTS, value, party=party, text=text),
        cr(chart.BENEFITS, value, party=party, text=text),
    ]
    return EntryDraft("benefit owed", on, text, lines, code)


def benefit_sent_entry(
    *, on: date, code: str, value: Money, cost: Money, party: str, name: str
) -> EntryDraft:
    """A benefit went out: its value is earned as other income, its cost is a cost of thanking members."""
    text = f"Gift {code}: {name} sent"
    lines: list[LineDraft] = [
        dr(chart.BENEFITS, value, party=party, text=text),
        cr(chart.SUNDRY, value, text=text),
        dr(chart.BENEFIT_COST, cost, text=text),
        cr(chart.BANK, cost, text=text),
    ]
    return EntryDraft("benefit sent", on, text, lines, code)


def loan_entry(*, on: date, code: str, amount: Money, party: str) -> EntryDraft:
    text = f"Loan {code} to the fund"
    lines = [dr(chart.BANK, amount, text=text), cr(chart.LOANS, amount, party=party, text=text)]
    return EntryDraft("loan", on, text, lines, code)


def loan_move_entry(*, on: date, code: str, amount: Money, party: str, forgiven: bool) -> EntryDraft:
    """A loan paid back, or forgiven in writing: only then does it become a gift."""
    text = f"Loan {code} {'forgiven' if forgiven else 'repaid'}"
    to = cr(chart.GIFTS, amount, party=party, text=text) if forgiven else cr(chart.BANK, amount, text=text)
    return EntryDraft(
        "loan forgiven" if forgiven else "loan repaid",
        on,
        text,
        [dr(chart.LOANS, amount, party=party, text=text), to],
        code,
    )


def hand_over_entry(*, on: date, code: str, by_purpose: Mapping[str, Money], holder: str) -> EntryDraft:
    """Gifts that came to somebody's own account, brought to the fund's bank: each purpose with its own money."""
    text = f"Hand-over {code} of gifts"
    lines: list[LineDraft] = []
    for purpose, amount in by_purpose.items():
        lines.append(dr(chart.BANK, amount, purpose=purpose, text=text))
        lines.append(cr(chart.DUE_FROM_CREW, amount, purpose=purpose, party=holder, text=text))
    return EntryDraft("gifts handed over", on, text, lines, code)


def spent_entry(
    *, on: date, code: str, amount: Money, account: str, cost_object: str | None, words: str
) -> EntryDraft:
    """Cash that was spent before it was counted and banked: the cost is real, the way was wrong."""
    lines = [
        dr(account, amount, cost_object=cost_object, text=words),
        cr(chart.UNDEPOSITED, amount, text=words),
    ]
    return EntryDraft("spent before banking", on, f"Spent from count {code}: {words}", lines, code)
