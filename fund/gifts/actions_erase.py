"""A supporter who asks to be forgotten: the ledger keeps its code, everything personal goes."""

import csv
import io
from collections.abc import Callable, Sequence

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.forgetting import forget_words
from fund.gifts.models import Gift, Loan, PayoutFile, Supporter, SupporterKey
from fund.gifts.queries_loans import still_owed
from fund.gifts.rules_layout import LayoutSpec
from fund.gifts.rules_reading import decoded
from fund.ledger.lock import hold_books
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record

PERSONAL = ("name", "email", "supporter_id")
FORGET: list[Callable[[Sequence[Supporter]], None]] = []
"""What the rooms above do to forget a supporter; each adds its own when the program starts."""


@transaction.atomic
def erase_supporter(*, by: Person, supporter: Supporter, words: str) -> Supporter:
    """Take away name, e-mail, address, note and the ids by which platforms know a supporter, also in kept payout files,
    and what was typed about their gifts. What stays all the same is for the page to say before (``forgetting.what_stays``).

    Gifts, entries and sums stay under the code, which names nobody. It cannot be undone. Supporters merged into this
    one are erased with it. `words` is the request. Letters already written keep their words and lose to whom they went.
    Refuses one that was merged into another (erase that one), erased before, or is still owed a loan, and no words.
    """
    require(by, "supporter.merge")
    hold_books()
    supporter = Supporter.objects.select_related("merged_into").get(pk=supporter.pk)
    if supporter.erased_at:
        raise AlreadyDone(f"{supporter.code} was erased on {clock.day_of(supporter.erased_at)}.")
    if supporter.merged_into:
        raise BadInput(f"{supporter.code} was merged into {supporter.merged_into.code}. Erase that one.")
    if not words.strip():
        raise BadInput("Write who asked for it, when and how.")
    if any(still_owed(loan) for loan in Loan.objects.filter(lender=supporter)):
        raise NotReady(f"The fund still owes {supporter.code} a loan. Repay it first.")
    everyone = [supporter, *supporter.merged.all()]
    files = _forget_in_files(supporter)
    SupporterKey.objects.filter(supporter__in=everyone).delete()
    forget_words(everyone)
    for one in everyone:
        one.name, one.email, one.address, one.note = one.code, "", "", ""
        one.anonymous, one.erased_at = True, clock.now()
        one.save(update_fields=["name", "email", "address", "note", "anonymous", "erased_at"])
    for forget in FORGET:
        forget(everyone)
    text = f"{supporter.code} was erased on request. The ledger keeps the code."
    data = {"codes": [one.code for one in everyone], "files": files}
    record(by=by, action="supporter.erase", subject=supporter.code, text=text, data=data)
    return supporter


def _forget_in_files(supporter: Supporter) -> int:
    """Take the name out of the rows of this supporter in every kept payout file; how many files changed."""
    refs: dict[str, set[str]] = {}
    rows = Gift.objects.filter(supporter=supporter, platform__isnull=False)
    for platform, ref in rows.values_list("platform_id", "platform_ref"):
        refs.setdefault(platform, set()).add(ref)
    keys = set(SupporterKey.objects.filter(supporter=supporter).values_list("key", flat=True))
    changed = 0
    for file in PayoutFile.objects.filter(layout__platform__in=refs).select_related("layout__platform"):
        spec = file.layout.spec
        less = without_names(bytes(file.data), spec, refs[file.layout.platform_id], keys)
        if less is not None:
            PayoutFile.objects.filter(pk=file.pk).update(data=less)
            changed += 1
    return changed


def without_names(data: bytes, spec: LayoutSpec, refs: set[str], keys: set[str]) -> bytes | None:
    """A payout file without what is personal in the rows of these transactions or supporter ids; None if nothing is."""
    try:
        rows = list(csv.reader(io.StringIO(decoded(data, spec), newline=""), delimiter=spec.delimiter))
    except (BadInput, csv.Error):  # the layout reads the file no longer, so its rows cannot be told apart
        return None
    header = [cell.strip() for cell in rows[0]]
    place = {field: header.index(name) for field, name in spec.columns.items() if name in header}
    personal = [place[field] for field in PERSONAL if field in place]
    touched = False
    for row in rows[1:]:
        if len(row) != len(header) or "ref" not in place:
            continue
        whose = row[place["supporter_id"]].strip() if "supporter_id" in place else ""
        if row[place["ref"]].strip() in refs or (whose and whose in keys):
            for at in personal:
                touched = touched or bool(row[at])
                row[at] = ""
    if not touched:
        return None
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=spec.delimiter).writerows(rows)
    return out.getvalue().encode(spec.encoding)
