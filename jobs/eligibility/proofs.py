"""What was decided is still what was written: each sealed decision against its digest."""

from collections.abc import Iterator

from jobs.eligibility.models import EligibilityDecision
from jobs.eligibility.rules_snapshot import digest_of


def decision_breaks() -> Iterator[str]:
    """A sentence per decision whose figures or words are not those that were frozen. Forgotten files are passed over."""
    rows = EligibilityDecision.objects.select_related("application__household").order_by("pk")
    for row in rows.iterator(500):
        if row.application.household.forgotten_on is not None:
            continue
        if row.snapshot is None or digest_of(row.snapshot, row.words) != row.digest:
            yield f"The decision of {row.on} on {row.application.code} was changed after it was taken."


ELIGIBILITY_PROOFS = (("decisions on households are as they were taken", decision_breaks),)
