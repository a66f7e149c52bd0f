"""What goes of a refusal when the time to keep its household's file is over."""

from collections.abc import Sequence

from fund.attachments.actions import destroy
from jobs.handback.models_proof import UnsafeRefusal
from jobs.households.models import Household


def forget_signed_papers(households: Sequence[Household]) -> int:
    """Part of an action, inside its transaction: destroy the photos of signed refusals, which show name and signature.

    What was refused, when and who wrote it down stays. Returns how many were destroyed now.
    """
    rows = UnsafeRefusal.objects.filter(repair__household__in=households).exclude(paper=None)
    papers = [row.paper for row in rows.exclude(paper__name="").select_related("paper")]
    for paper in papers:
        assert paper is not None
        destroy(paper)
    return len(papers)
