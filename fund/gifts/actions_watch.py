"""The second look that an exception is owed."""

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.commitments.actions_held import let_go
from fund.gifts.models import GiftException
from fund.gifts.rules_watch import LARGE_FIRST, OWN_ACCOUNT
from fund.ledger.lock import hold_books
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record


@transaction.atomic
def resolve_exception(*, by: Person, found: GiftException, words: str) -> GiftException:
    """Say what the second look found. A large first gift whose giver is known now may be promised from today on.

    Refuses one resolved before, no words, and gifts still on somebody's own account (those end at the bank). Whoever
    counted cash does not resolve that its count was apart.
    """
    require(by, "gift.second_look")
    hold_books()
    found = GiftException.objects.select_related("count").get(pk=found.pk)
    if found.resolved_on:
        raise AlreadyDone(f"{found.code} was resolved on {found.resolved_on}.")
    if not words.strip():
        raise BadInput("Write what was found, so that a reader in three years understands it.")
    if found.kind == OWN_ACCOUNT and found.gifts.filter(hand_over=None).exists():
        raise NotReady(
            "The gift is still on a crew member's own account. It ends when it is brought to the bank."
        )
    if found.count and by.pk in (found.count.counted_by_id, found.count.second_by_id):
        raise BadInput("Whoever counted does not look a second time. Ask someone else.")
    if found.kind == LARGE_FIRST:
        let_go(sources=list(found.gifts.values_list("code", flat=True)), on=clock.today())
    found.resolved_on, found.resolved_by, found.resolution = clock.today(), by, words.strip()
    found.save(update_fields=["resolved_on", "resolved_by", "resolution"])
    text = f"{found.code} resolved: {words.strip()}"
    record(by=by, action="gift.second_look", subject=found.code, text=text)
    return found
