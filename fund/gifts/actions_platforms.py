"""Rates of other currencies, and platforms that keep money back for review."""

from datetime import date

from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.actions_returns import within
from fund.gifts.models import ExchangeRate, Platform, PlatformHold
from fund.gifts.rules_exchange import rate_words
from fund.ledger.lock import hold_books
from fund.refusal import AlreadyDone, BadInput
from fund.trail.actions import record


@transaction.atomic
def write_rate(*, by: Person, currency: str, on: date, rate_millionths: int, source: str) -> ExchangeRate:
    """The rate of a day: our money for one unit of theirs, in millionths. Valid until the next day that has one.

    Gifts booked before keep the rate they were valued at. Refuses a second rate for a day, a day to come, no source.
    """
    require(by, "gift.import")
    hold_books()
    currency = currency.strip().upper()
    if not (len(currency) == 3 and currency.isascii() and currency.isalpha()):
        raise BadInput("Write the currency as three letters, like CAD.")
    if rate_millionths <= 0 or not source.strip():
        raise BadInput("Write a rate above zero and where it was published.")
    within(on, on)
    if ExchangeRate.objects.filter(currency=currency, on=on).exists():
        raise AlreadyDone(f"There is a rate of {currency} for {on} already; what was valued at it keeps it.")
    rate = ExchangeRate.objects.create(
        currency=currency, on=on, rate_millionths=rate_millionths, source=source.strip(), by=by
    )
    text = f"{currency} on {on}: {rate_words(rate_millionths)} ({source.strip()})."
    record(by=by, action="rate.write", subject=currency, text=text)
    return rate


@transaction.atomic
def note_hold(*, by: Person, platform: Platform, since: date, words: str) -> PlatformHold:
    """A platform keeps its next payout back for review. The money stays in clearing and is told at the close."""
    require(by, "gift.import")
    hold_books()
    within(since, since)
    if not words.strip():
        raise BadInput("Write what the platform says, and when it means to pay out.")
    if PlatformHold.objects.filter(platform=platform, ended_on=None).exists():
        raise AlreadyDone(f"It is written down already that {platform.name} holds a payout.")
    hold = PlatformHold.objects.create(platform=platform, since=since, words=words.strip(), by=by)
    text = f"{platform.name} holds its payout since {since}. {words.strip()}"
    record(by=by, action="platform.hold", subject=platform.code, text=text)
    return hold


@transaction.atomic
def end_hold(*, by: Person, hold: PlatformHold, on: date) -> PlatformHold:
    """The platform pays out again."""
    require(by, "gift.import")
    hold = PlatformHold.objects.select_for_update(of=("self",)).select_related("platform").get(pk=hold.pk)
    if hold.ended_on:
        raise AlreadyDone(f"It ended on {hold.ended_on}.")
    within(on, hold.since)
    hold.ended_on = on
    hold.save(update_fields=["ended_on"])
    text = f"{hold.platform.name} pays out again from {on}."
    record(by=by, action="platform.release", subject=hold.platform_id, text=text)
    return hold
