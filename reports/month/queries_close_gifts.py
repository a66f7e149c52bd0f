"""What the close list tells of gifts. None of it stops a close; each is something the next reader will ask about."""

from collections.abc import Iterator
from datetime import date

from fund.gifts.queries_open import at_month_end
from fund.money import Money, total
from reports.month.rules_close import Stop, many


def gift_stops(end: date) -> Iterator[Stop]:
    """Payouts that a platform holds, deposits nobody knows, gifts on own accounts, exceptions and disputes."""
    told = at_month_end(end)
    for platform, since, words in told.held_payouts:
        text = f"{platform} holds its payout since {since}: {words} It stays in clearing and is not promised."
        yield Stop("held payout", text, "the treasurer", False, "/crew/gifts/payouts/")
    if told.unknown:
        text = (
            f"{_sum(told.unknown)} came from nobody known and is older than 30 days: {_codes(told.unknown)}."
        )
        yield Stop("unknown deposits", text, "the treasurer", False, "/crew/gifts/waiting/")
    if told.own_accounts:
        text = f"{_sum(told.own_accounts)} is on crew members' own accounts: {_codes(told.own_accounts)}."
        yield Stop("own accounts", text, "the treasurer", False, "/crew/gifts/own-accounts/")
    if told.exceptions:
        few = told.exceptions
        text = (
            f"{many(len(few), 'exception', 'exceptions')} about gifts not looked into: {', '.join(few[:5])}."
        )
        yield Stop("gift exceptions", text, "the owner or treasurer", False, "/crew/gifts/exceptions/")
    if told.disputes:
        text = f"{_sum(told.disputes)} is in dispute: {_codes(told.disputes)}."
        yield Stop("disputes", text, "the treasurer", False, "/crew/gifts/disputes/")


def _sum(rows: list[tuple[str, Money]]) -> Money:
    return total(amount for _, amount in rows)


def _codes(rows: list[tuple[str, Money]]) -> str:
    codes = [code for code, _ in rows]
    return ", ".join(codes[:5]) + (f" and {len(codes) - 5} more" if len(codes) > 5 else "")
