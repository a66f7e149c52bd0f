"""The crew's claims and advances one by one against the accounts that hold them."""

from collections.abc import Iterator

from django.db.models import Sum

from fund.ledger.chart import ADVANCES, OWED_CREW
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
