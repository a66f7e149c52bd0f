"""What of gifts is not finished: held, unsettled, unexplained, waiting for a second person."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q, QuerySet, Sum

from fund.access.models import Person
from fund.gifts.models import (
    Gift,
    GiftBenefit,
    GiftException,
    GiftReturn,
    HeldCheck,
    PlatformHold,
    RestrictionChange,
)
from fund.gifts.rules import VIA_CREW
from fund.gifts.rules_restrictions import ASKED
from fund.gifts.rules_returns import OPEN
from fund.gifts.rules_terms import RESOLVE_DAYS, UNIDENTIFIED, WAITING
from fund.money import Money


def unsettled() -> QuerySet[Gift]:
    """Money that lies with the fund and is not its own yet, oldest first."""
    rows = Gift.objects.filter(nature__in=WAITING, settlement=None)
    return rows.select_related("supporter", "platform", "purpose").order_by("received_on", "pk")


def overdue(today: date) -> QuerySet[Gift]:
    """Deposits from nobody known that are older than they should get."""
    return unsettled().filter(nature=UNIDENTIFIED, received_on__lt=today - timedelta(days=RESOLVE_DAYS))


def held_checks() -> QuerySet[HeldCheck]:
    """Checks whose day has not been booked, the next one first."""
    rows = HeldCheck.objects.filter(gift=None, handed_back_on=None)
    return rows.select_related("supporter", "purpose").order_by("dated_on", "pk")


def ripe_checks(today: date) -> QuerySet[HeldCheck]:
    return held_checks().filter(dated_on__lte=today)


def on_own_accounts() -> QuerySet[Gift]:
    """Gifts that are still on a crew member's own account."""
    rows = Gift.objects.filter(kind=VIA_CREW, hand_over=None).select_related("held_by", "supporter")
    return rows.order_by("received_on", "pk")


def own_accounts_by_holder(person: Person | None = None) -> dict[str, Money]:
    """What of gifts is still on each crew member's own account, by sign-in name; those with nothing are left out. One query."""
    rows = Gift.objects.filter(kind=VIA_CREW, hand_over=None).order_by()
    rows = rows.filter(held_by=person) if person else rows
    return dict(rows.values_list("held_by__username").annotate(sum=Sum("amount")))


def open_exceptions() -> QuerySet[GiftException]:
    return GiftException.objects.filter(resolved_on=None)


def open_disputes() -> QuerySet[GiftReturn]:
    return GiftReturn.objects.filter(outcome=OPEN).select_related("gift__supporter", "platform")


def asked_changes() -> QuerySet[RestrictionChange]:
    return RestrictionChange.objects.filter(state=ASKED)


def owed_benefits() -> QuerySet[GiftBenefit]:
    """Benefits owed and not sent, the oldest gift first; not those of gifts that went back whole."""
    rows = GiftBenefit.objects.filter(sent_on=None, ended_on=None).select_related(
        "gift__supporter", "benefit"
    )
    return rows.order_by("gift__received_on", "pk")


@dataclass(frozen=True, slots=True)
class AtMonthEnd:
    """What the close list tells of gifts at the end of a month."""

    held_payouts: list[tuple[str, date, str]]
    unknown: list[tuple[str, Money]]
    own_accounts: list[tuple[str, Money]]
    exceptions: list[str]
    disputes: list[tuple[str, Money]]


def at_month_end(end: date) -> AtMonthEnd:
    """Held payouts, deposits from nobody known past their time, gifts on own accounts, exceptions, disputes: five queries."""
    holds = PlatformHold.objects.filter(since__lte=end).filter(Q(ended_on=None) | Q(ended_on__gt=end))
    disputes = open_disputes().filter(on__lte=end).values_list("gift__code", "amount")
    return AtMonthEnd(
        held_payouts=list(holds.values_list("platform__name", "since", "words")),
        unknown=list(overdue(end).values_list("code", "amount")),
        own_accounts=list(on_own_accounts().filter(received_on__lte=end).values_list("code", "amount")),
        exceptions=list(open_exceptions().filter(on__lte=end).values_list("code", flat=True)),
        disputes=[(code or "a gift not in the books", amount) for code, amount in disputes],
    )
