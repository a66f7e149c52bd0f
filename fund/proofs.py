"""All proofs of the money app in one list; the reports app adds those of published months."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from fund.bank.proofs import match_breaks, reconciliation_breaks, statement_breaks
from fund.commitments.proofs import commitment_breaks
from fund.gifts.proofs import clearing_breaks, gift_breaks, payout_breaks, undeposited_breaks, waiting_breaks
from fund.ledger.proofs import balance_breaks, chain_breaks, ledger_counts, month_breaks
from fund.ledger.proofs_guards import guard_breaks
from fund.letters.proofs import letter_breaks
from fund.receipts.proofs import claim_breaks, core_breaks, cost_breaks, receipt_breaks, shelf_breaks
from fund.repayments.proofs import advance_breaks, due_breaks, owed_breaks

Proof = tuple[str, Callable[[], Iterator[str]]]

FUND_PROOFS: tuple[Proof, ...] = (
    ("entries are chained and unchanged", chain_breaks),
    ("entries balance in each purpose", balance_breaks),
    ("closed months are closed and unchanged", month_breaks),
    ("the database guards its rows", guard_breaks),
    ("no commitment is below zero", commitment_breaks),
    ("gifts are what their entries say", gift_breaks),
    ("counts and checks not banked are what the books hold", undeposited_breaks),
    ("what platforms hold is what the books hold", clearing_breaks),
    ("payouts are the sum of their rows", payout_breaks),
    ("gifts to settle, benefits and loans are what the books hold", waiting_breaks),
    ("the bank's lines come to the bank's balance", statement_breaks),
    ("both sides of every bank match agree", match_breaks),
    ("bank reconciliations come to 0.00 and were reviewed by another", reconciliation_breaks),
    ("receipts add up", receipt_breaks),
    ("the lots on the shelf are what the books hold", shelf_breaks),
    ("the open cores are what the books hold", core_breaks),
    ("the open claims on stores are what the books hold", claim_breaks),
    ("nothing gave back more than it cost", cost_breaks),
    ("what the crew is owed is what the books hold", owed_breaks),
    ("what the crew owes and gifts on own accounts are what the books hold", due_breaks),
    ("nobody holds more in advance than they were given", advance_breaks),
    ("letters say what they said when they were written", letter_breaks),
)


@dataclass(slots=True)
class Verdict:
    """``breaks`` are sentences; ``counts`` say how much was looked at."""

    breaks: list[str] = field(default_factory=list)
    counts: dict[str, int] = field(default_factory=dict)
    proved: list[str] = field(default_factory=list)

    @property
    def ok(self) -> bool:
        return not self.breaks


def prove(
    proofs: tuple[Proof, ...] = FUND_PROOFS, progress: Callable[[int], object] = lambda made: None
) -> Verdict:
    """Run proofs one after another and gather every break; ``progress(1)`` is called after each."""
    verdict = Verdict(counts=ledger_counts())
    for words, proof in proofs:
        found = list(proof())
        verdict.breaks += found
        if not found:
            verdict.proved.append(words)
        progress(1)
    return verdict
