"""The crew's claims and advances one by one against the accounts that hold them."""

from collections.abc import Iterator

from django.db.models import Q, QuerySet, Sum

from fund.gifts.models import Gift, HandOver
from fund.gifts.rules import VIA_CREW
from fund.ledger.chart import ADVANCES, DUE_FROM_CREW, OWED_CREW
from fund.ledger.models import Line
from fund.money import Money
from fund.repayments.models import Advance, Repayment
from fund.repayments.queries import unpaid, unpaid_mileage


def _books(account: str) -> dict[str, Money]:
    rows = Line.objects.filter(account=account).order_by().values_list("party").annotate(sum=Sum("amount"))
    return {party: amount for party, amount in rows if amount}


def owed_breaks() -> Iterator[str]:
    """What each member is owed: their open claims and prepared repayments, against account 2010."""
    claims: dict[str, Money] = {}
    open_sums = (
        unpaid().order_by().values_list("buyer__username").annotate(sum=Sum("owed")),
        unpaid_mileage().order_by().values_list("person__username").annotate(sum=Sum("amount")),
        Repayment.objects.filter(state="prepared")
        .order_by()
        .values_list("person__username")
        .annotate(sum=Sum("amount")),
    )
    for rows in open_sums:
        for username, amount in rows:
            claims[username] = claims.get(username, Money.zero) + amount
    held = {party: -amount for party, amount in _books(OWED_CREW).items()}
    for party in sorted(claims.keys() | held.keys()):
        told, books = claims.get(party, Money.zero), held.get(party, Money.zero)
        if told != books:
            yield f"The claims of {party or 'nobody'} add up to {told}, but account {OWED_CREW} holds {books}."


def due_breaks() -> Iterator[str]:
    """Account 1130 by person: gifts on their own account one by one, and beside them nothing below zero."""
    lines = Line.objects.filter(account=DUE_FROM_CREW).order_by()
    own = Gift.objects.filter(kind=VIA_CREW)
    of_gifts = lines.filter(Q(entry__in=own.values("entry")) | Q(entry__in=HandOver.objects.values("entry")))
    booked = _by_party_and_purpose(of_gifts)
    still = own.filter(hand_over=None).order_by().values_list("held_by__username", "purpose")
    waiting = {(who, pot): amount for who, pot, amount in still.annotate(sum=Sum("amount"))}
    for key in sorted(booked.keys() | waiting.keys()):
        told, books = waiting.get(key, Money.zero), booked.get(key, Money.zero)
        if told != books:
            yield f"Gifts for {key[1]} with {key[0]} add up to {told}, but account {DUE_FROM_CREW} holds {books}."
    # A paper taken back after its buyer paid for what was personal on it leaves the fund owing: no break.
    taken_back = lines.filter(amount__lt=0, entry__reverses__isnull=False)
    debts = lines.exclude(pk__in=of_gifts.values("pk")).exclude(pk__in=taken_back.values("pk"))
    for party, amount in debts.values_list("party").annotate(sum=Sum("amount")).order_by("party"):
        if amount < Money.zero:
            yield f"{party or 'Nobody'} brought back {-amount} more than they owed the fund (account {DUE_FROM_CREW})."


def _by_party_and_purpose(lines: QuerySet[Line]) -> dict[tuple[str, str], Money]:
    rows = lines.values_list("party", "purpose").annotate(sum=Sum("amount"))
    return {(party, purpose): amount for party, purpose, amount in rows if amount}


def advance_breaks() -> Iterator[str]:
    """Nobody holds more in advance than they were given, or less than nothing (account 1140)."""
    given = dict(
        Advance.objects.filter(state="given")
        .order_by()
        .values_list("person__username")
        .annotate(sum=Sum("amount"))
    )
    for party, amount in sorted(_books(ADVANCES).items()):
        if not Money.zero <= amount <= given.get(party, Money.zero):
            yield f"{party or 'Nobody'} holds {amount} in advance by the books, of {given.get(party, Money.zero)} given."
