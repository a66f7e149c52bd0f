"""The close list of a month: what still stops it, what to look at, and who can act. A constant number of queries."""

from datetime import date, timedelta

from fund import clock
from fund.commitments.models import CommitmentMove
from fund.commitments.queries import open_commitments
from fund.gifts.models import CashCount, Gift
from fund.ledger.chart import PETTY_CASH
from fund.ledger.models import Purpose
from fund.ledger.queries import balances, first_month, last_closed_month
from fund.ledger.rules import Pots, last_day, month_of, next_month, previous_month, unspent
from fund.money import Money, total
from fund.receipts.models import CoreDeposit, Receipt
from fund.repayments.models import PettyCashCount
from jobs.hours.models import HoursEntry
from jobs.hours.queries import unconfirmed
from reports.month.queries_close_bank import bank_stops, clearing_stops
from reports.month.queries_close_gifts import gift_stops
from reports.month.queries_close_receipts import look_stops, photo_stops
from reports.month.rules_close import STALE_DAYS, Stop, many


def close_list(month: str) -> list[Stop]:
    """Everything between this month and its close; what blocks comes first. Empty for a month that is closed."""
    last = last_closed_month()
    if last and month <= last:
        return []
    end = last_day(month)
    pots = balances(end)
    stops = [
        *_order(month, last),
        *_drafts(end),
        *_unbanked(end),
        *_overdrawn(pots),
        *_hours(end),
        *bank_stops(month),
        *clearing_stops(month, pots),
        *_petty_cash(month, end, pots),
        *_stale(end),
        *_cores(end),
        *gift_stops(end),
        *look_stops(end),
        *photo_stops(end),
    ]
    return sorted(stops, key=lambda stop: not stop.blocks)


def _order(month: str, last: str | None) -> list[Stop]:
    found = []
    expected = next_month(last) if last else first_month()
    if expected is None:
        found.append(Stop("empty", "There is nothing in the books yet.", "the treasurer", True))
    elif expected < month:
        text = f"{previous_month(month)} is still open. Months close in order: {expected} comes first."
        found.append(Stop("before", text, "the treasurer or owner", True))
    if month >= month_of(clock.today()):
        text = f"{month} is not over yet. It can be closed from the first day of {next_month(month)}."
        found.append(Stop("not over", text, "time", True))
    return found


def _drafts(end: date) -> list[Stop]:
    drafts = Receipt.objects.filter(state="draft", on__lte=end).order_by("on", "code")
    codes = list(drafts.values_list("code", flat=True))
    if not codes:
        return []
    text = f"{many(len(codes), 'receipt is', 'receipts are')} still a draft: {_some(codes)}. Post or delete them."
    return [
        Stop("drafts", text, "whoever entered them, or the treasurer", True, "/crew/receipts/?state=draft")
    ]


def _some(codes: list[str]) -> str:
    return ", ".join(codes[:5]) + (f" and {len(codes) - 5} more" if len(codes) > 5 else "")


def _unbanked(end: date) -> list[Stop]:
    counts = CashCount.objects.filter(deposit=None, void_on=None, on__lte=end).values_list("code", "total")
    gifts = Gift.objects.filter(
        kind__in=("check", "cash"), count=None, deposit=None, received_on__lte=end, returns=None
    )
    rows = [*counts, *gifts.values_list("code", "amount")]
    if not rows:
        return []
    amount = total(money for _, money in rows)
    text = f"{amount} in cash and checks is counted and not banked: {_some([code for code, _ in rows])}."
    return [Stop("unbanked", text, "the treasurer", True, "/crew/gifts/", amount)]


def _overdrawn(pots: Pots) -> list[Stop]:
    found = []
    for purpose in Purpose.objects.filter(restricted=True):
        left = unspent(purpose.code, pots)
        if left < Money.zero:
            text = f"The purpose “{purpose.name}” is overdrawn by {-left}. General money has to pay it back."
            found.append(Stop("overdrawn", text, "the treasurer", True, "/crew/books/", left))
    return found


def _hours(end: date) -> list[Stop]:
    rows = list(unconfirmed(HoursEntry.objects.filter(counted_on__lte=end)).select_related("person"))
    asked = sorted({row.person.label for row in rows if not row.needs_other})
    tied = sorted({row.person.label for row in rows if row.needs_other})
    found = []
    if asked:
        text = f"Hours that someone else entered wait for the yes of {', '.join(asked)}."
        found.append(Stop("hours", text, "each of them", False, "/crew/hours/"))
    if tied:
        text = f"Hours of {', '.join(tied)} for a household they are tied to wait for somebody else's yes."
        found.append(Stop("hours", text, "anyone without a tie", False, "/crew/hours/confirm/"))
    return found


def _petty_cash(month: str, end: date, pots: Pots) -> list[Stop]:
    held = total(amount for (code, _), amount in pots.items() if code == PETTY_CASH)
    if not held or PettyCashCount.objects.filter(on__range=(f"{month}-01", end)).exists():
        return []
    text = f"Petty cash ({held} in the books) was not counted this month."
    return [Stop("petty cash", text, "two of the crew", False, "/crew/repay/", held)]


def _stale(end: date) -> list[Stop]:
    lately = set(
        CommitmentMove.objects.filter(on__gt=end - timedelta(days=STALE_DAYS), on__lte=end).values_list(
            "cost_object_id", flat=True
        )
    )
    codes = [row.cost_object.code for row in open_commitments(end) if row.cost_object.code not in lately]
    if not codes:
        return []
    text = (
        f"Nothing was bought for {STALE_DAYS} days on {_some(codes)}, and money is still promised. "
        "Release it, or have it priced anew."
    )
    return [Stop("stale", text, "the owner", False, "/crew/repairs/")]


def _cores(end: date) -> list[Stop]:
    late = CoreDeposit.objects.filter(due_on__lt=end, on__lte=end, returned=None)
    codes = list(late.order_by("due_on").values_list("code", flat=True))
    if not codes:
        return []
    text = f"{many(len(codes), 'core is', 'cores are')} past the day the store set: {_some(codes)}. Return or write off."
    return [Stop("cores", text, "a volunteer or the treasurer", False, "/crew/shelf/")]
