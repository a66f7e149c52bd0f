"""What becomes of a benefit when its gift goes back whole, or comes back again. Part of the actions that book it.

A benefit that was not sent is owed no more: what was set apart for it goes back with the rest of the gift. One that
was sent stays sent, its cost too, and the whole gift is undone on the account of returned gifts.
"""

from collections.abc import Sequence
from datetime import date

from django.db.models import F, Sum
from django.db.models.functions import Coalesce

from fund.access.models import Person
from fund.gifts.models import Gift, GiftBenefit
from fund.gifts.rules_returns import benefit_back_entry
from fund.ledger.actions import post
from fund.ledger.models import Entry
from fund.money import Money, MoneyField
from fund.trail.actions import record


def still_owed(gift: Gift) -> Money:
    """What is set apart for the benefit of a gift: its value until it is sent or has ended."""
    owed: GiftBenefit | None = getattr(gift, "benefit", None)
    return owed.value if owed and owed.sent_on is None and owed.ended_on is None else Money.zero


def owed_before(gift: Gift) -> Money:
    """The value of a benefit that ended with its gift, and is owed again if the gift comes back."""
    owed: GiftBenefit | None = getattr(gift, "benefit", None)
    return owed.value if owed and owed.ended_on else Money.zero


def end_benefits(gifts: Sequence[Gift], on: date, entry: Entry) -> None:
    """The benefits of these gifts that were not sent ended with ``entry``."""
    open_ones = GiftBenefit.objects.filter(gift__in=[gift.pk for gift in gifts], sent_on=None, ended_on=None)
    open_ones.update(ended_on=on, ended_entry=entry)


def owe_again(gift: Gift) -> None:
    GiftBenefit.objects.filter(gift=gift).exclude(ended_on=None).update(ended_on=None, ended_entry=None)


def settle_benefits(*, by: Person, entries: Sequence[Entry]) -> None:
    """After a platform's file: end the benefits of gifts that have gone back whole, owe those again that came back.

    ``entries`` are those that the file booked. Each benefit has an entry of its own, dated as the return is.
    """
    days = {entry.pk: entry.document_date for entry in entries}
    touched = GiftBenefit.objects.filter(gift__returns__entry__in=list(days), sent_on=None)
    gone = Coalesce(Sum("gift__returns__amount"), 0, output_field=MoneyField())
    # The sum takes every return of the gift, so the gifts are found first.
    rows = (
        GiftBenefit.objects.filter(pk__in=list(touched.values_list("pk", flat=True)))
        .select_related("gift__supporter", "benefit")
        .annotate(gone=gone, whole=F("gift__amount"))
        .order_by("pk")
    )
    for owed in rows:
        again = owed.gone < owed.whole
        if again == (owed.ended_on is None):
            continue
        last = owed.gift.returns.filter(entry__in=list(days)).order_by("-on", "-pk")[0]
        _book(by, owed, last.on, again=again)


def _book(by: Person, owed: GiftBenefit, on: date, *, again: bool) -> None:
    gift = owed.gift
    draft = benefit_back_entry(
        on=on,
        code=gift.code,
        value=owed.value,
        party=gift.supporter.code if gift.supporter else "",
        name=owed.benefit.name,
        again=again,
    )
    entry = post(by=by, draft=draft)
    owed.ended_on, owed.ended_entry = (None, None) if again else (on, entry)
    owed.save(update_fields=["ended_on", "ended_entry"])
    record(
        by=by, action="benefit.end", subject=gift.code, text=f"{draft.text}.", data={"entry": entry.number}
    )
