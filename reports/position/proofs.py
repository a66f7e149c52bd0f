"""Every proof there is, for the command and the page."""

from collections.abc import Callable

from fund.proofs import FUND_PROOFS, Proof, Verdict, prove
from jobs.approvals.proofs import APPROVAL_PROOFS
from jobs.eligibility.proofs import ELIGIBILITY_PROOFS
from jobs.handback.proofs import HANDBACK_PROOFS
from jobs.hours.proofs import HOURS_PROOFS
from reports.month.proofs import MONTH_PROOFS

ALL_PROOFS: tuple[Proof, ...] = (
    *FUND_PROOFS,
    *ELIGIBILITY_PROOFS,
    *APPROVAL_PROOFS,
    *HOURS_PROOFS,
    *HANDBACK_PROOFS,
    *MONTH_PROOFS,
)


def prove_all(progress: Callable[[int], object] = lambda made: None) -> Verdict:
    """Make every proof; ``progress(1)`` is called after each."""
    return prove(ALL_PROOFS, progress)
