"""Two supporters that are one, and taking that back: rows change hands, and nothing is lost either way."""

from typing import Any

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.models import Decline, Gift, HeldCheck, Loan, Pledge, Supporter, SupporterKey, SupporterMerge
from fund.gifts.models_crew import CrewSupporter
from fund.ledger.lock import hold_books
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record

MOVED: dict[str, tuple[Any, str]] = {
    "gift": (Gift, "supporter"),
    "key": (SupporterKey, "supporter"),
    "decline": (Decline, "supporter"),
    "held check": (HeldCheck, "supporter"),
    "pledge": (Pledge, "supporter"),
    "loan": (Loan, "lender"),
    "crew": (CrewSupporter, "supporter"),
}
"""Everything that names a supporter. Letters do not move: what was written to somebody was written to them."""


@transaction.atomic
def merge_supporters(*, by: Person, kept: Supporter, gone: Supporter, reason: str) -> SupporterMerge:
    """Two names for one supporter: everything of `gone` belongs to `kept` from now on, and what moved is written down.

    The books keep the code that each entry named. Anonymous wins: if either wanted no name in public, the one kept
    has none. Refuses a supporter and itself, one that was merged or erased before, no reason.
    """
    require(by, "supporter.merge")
    hold_books()
    kept, gone = (Supporter.objects.select_related("merged_into").get(pk=one.pk) for one in (kept, gone))
    if kept.pk == gone.pk:
        raise BadInput("Choose two different supporters.")
    for one in (kept, gone):
        if one.merged_into:
            raise AlreadyDone(f"{one.code} was merged into {one.merged_into.code} before.")
        if one.erased_at:
            raise BadInput(f"{one.code} was erased on request and stays as it is.")
    if not reason.strip():
        raise BadInput("Say how you know that the two are one.")
    moved = {}
    for table, (model, column) in MOVED.items():
        rows = model.objects.filter(**{column: gone})
        moved[table] = list(rows.order_by("pk").values_list("pk", flat=True))
        rows.update(**{column: kept})
    moved["merged"] = list(Supporter.objects.filter(merged_into=gone).values_list("pk", flat=True))
    Supporter.objects.filter(merged_into=gone).update(merged_into=kept)
    shown = gone.anonymous and not kept.anonymous
    moved["hidden"] = [kept.pk] if shown else []
    Supporter.objects.filter(pk=gone.pk).update(merged_into=kept)
    if shown:
        Supporter.objects.filter(pk=kept.pk).update(anonymous=True)
    merge = SupporterMerge.objects.create(
        kept=kept, gone=gone, reason=reason.strip(), moved=moved, by=by, at=clock.now()
    )
    text = f"{gone.code} merged into {kept.code}: {len(moved['gift'])} gifts. {reason.strip()}"
    record(by=by, action="supporter.merge", subject=kept.code, text=text, data={"moved": moved})
    return merge


@transaction.atomic
def unmerge_supporters(*, by: Person, merge: SupporterMerge, reason: str) -> Supporter:
    """The two were not one: everything that moved goes back. What came since stays with the one that was kept.

    Letters that were written meanwhile name the wrong giver; re-issue them. Refuses a merge undone before, and one
    whose kept supporter was merged on since (undo that one first).
    """
    require(by, "supporter.merge")
    hold_books()
    merge = SupporterMerge.objects.select_related("kept__merged_into", "gone").get(pk=merge.pk)
    if merge.undone_at:
        raise AlreadyDone(f"{merge.gone.code} was taken apart from {merge.kept.code} before.")
    if merge.kept.merged_into:
        raise NotReady(
            f"{merge.kept.code} was itself merged into {merge.kept.merged_into.code}. Undo that first."
        )
    if merge.kept.erased_at:
        raise BadInput(f"{merge.kept.code} was erased on request and stays as it is.")
    if not reason.strip():
        raise BadInput("Say how you know that the two are not one.")
    for table, (model, column) in MOVED.items():
        model.objects.filter(pk__in=merge.moved[table]).update(**{column: merge.gone})
    Supporter.objects.filter(pk=merge.gone.pk).update(merged_into=None)
    Supporter.objects.filter(pk__in=merge.moved["merged"]).update(merged_into=merge.gone)
    if merge.moved["hidden"]:
        Supporter.objects.filter(pk=merge.kept.pk).update(anonymous=False)
    merge.undone_by, merge.undone_at, merge.undone_reason = by, clock.now(), reason.strip()
    merge.save(update_fields=["undone_by", "undone_at", "undone_reason"])
    text = f"{merge.gone.code} taken apart from {merge.kept.code} again. {reason.strip()}"
    record(by=by, action="supporter.unmerge", subject=merge.gone.code, text=text)
    return Supporter.objects.get(pk=merge.gone.pk)
