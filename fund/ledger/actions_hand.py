from collections.abc import Sequence
from datetime import date

from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.ledger.actions import post, reverse
from fund.ledger.models import Entry, Purpose
from fund.ledger.rules import EntryDraft, LineDraft
from fund.ledger.rules_hand import HAND, check_hand_lines
from fund.refusal import BadInput
from fund.trail.actions import record


@transaction.atomic
def post_by_hand(*, by: Person, day: date, text: str, lines: Sequence[LineDraft]) -> Entry:
    """An entry no room makes: insurance paid, interest, a loan, the reserve set aside. ``day`` is the document's.

    Refuses accounts kept by a room, restricted money, lines that do not balance within each purpose, and an empty text.
    A day in a closed month is posted on the first open day as a later change.
    """
    require(by, "books.post")
    if not text.strip():
        raise BadInput("Say in a few words what the entry is for.")
    check_hand_lines(lines, set(Purpose.objects.filter(restricted=True).values_list("code", flat=True)))
    entry = post(by=by, draft=EntryDraft(HAND, day, text.strip(), lines))
    record(
        by=by, action="ledger.hand", subject=f"entry {entry.number}", text=f"Posted by hand: {text.strip()}"
    )
    return entry


@transaction.atomic
def reverse_by_hand(*, by: Person, entry: Entry, reason: str) -> Entry:
    """Take back an entry posted by hand. Refuses any other: it is taken back where it came from."""
    require(by, "books.post")
    if entry.kind != HAND:
        raise BadInput(
            f"Entry {entry.number} came from {entry.source or entry.kind}. Take it back there, not here."
        )
    return reverse(by=by, entry=entry, reason=reason)
