"""What goes of refusals and hand-backs when the time to keep their household's file is over."""

from collections.abc import Sequence

from fund.attachments.actions import destroy
from jobs.handback.models import HandBack
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


def forget_sheets(households: Sequence[Household]) -> int:
    """Part of an action, inside its transaction: take away the sheets as given, which say the complaint in its own words.

    Every figure of them and their digests stay; a sheet is drawn anew from the figures. Returns how many went now.
    """
    return HandBack.objects.filter(repair__household__in=households).exclude(sheet=b"").update(sheet=b"")
