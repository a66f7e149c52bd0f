from collections.abc import Sequence
from datetime import date
from typing import Any, NamedTuple

from django.db import transaction
from django.db.models import Max, Q, Sum

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.bulk import day_value, insert_rows
from fund.ledger.lock import hold_books
from fund.ledger.models import Account, CostObject, Entry, Line, Month, MonthBalance, Purpose
from fund.ledger.queries import first_month, first_open_day, first_possible_day, last_closed_month
from fund.ledger.rules import (
    FIRST_LINK,
    EntryDraft,
    LineDraft,
    digest,
    first_day,
    month_of,
    next_month,
    posted_lines,
    previous_month,
    too_early,
)
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, MonthClosed, NotReady
from fund.trail.actions import record


def post(*, by: Person, draft: EntryDraft) -> Entry:
    """Write one balanced entry. See :func:`post_many`."""
    return post_many(by=by, drafts=[draft])[0]


@transaction.atomic
def post_many(*, by: Person, drafts: Sequence[EntryDraft]) -> list[Entry]:
    """Write balanced entries in order, numbered without gaps and chained to the entry before.

    Called by the actions of the rooms, which have verified the power to do what the entry books. Refuses an entry
    that does not balance within each purpose, a given ``posting_date`` in a closed month, and a date more than a year
    before the books begin. Lines are written before their entry: the database verifies the balance when the entry arrives.
    """
    hold_books()
    last = Entry.objects.order_by("-number").values_list("number", "digest").first()
    number, before = last or (0, FIRST_LINK)
    open_day, earliest, now = first_open_day(), first_possible_day(), clock.now()
    entries: list[Entry] = []
    lines: list[_Row] = []
    for draft in drafts:
        number += 1
        if long_ago := too_early(draft, earliest):
            raise BadInput(
                f"“{draft.text}” is dated {long_ago}; in these books it can be {earliest} or later. Look at the year once more."
            )
        entry = _entry(by, draft, number, open_day)
        entry.created_at, entry.prev_digest = now, before
        rows = _lines(entry, posted_lines(draft))
        entry.digest = before = entry_digest(entry, rows)
        entries.append(entry)
        lines.extend(rows)
    _write_lines(lines)
    Entry.objects.bulk_create(entries, batch_size=2000)
    return entries


def _entry(by: Person, draft: EntryDraft, number: int, open_day: date) -> Entry:
    day = draft.posting_date or max(draft.document_date, open_day)
    if day < open_day:
        raise MonthClosed(
            f"{month_of(day)} is closed. Post “{draft.text}” on {open_day} or later; its own date {draft.document_date}"
            " is kept beside it."
        )
    return Entry(
        number=number,
        kind=draft.kind,
        document_date=draft.document_date,
        posting_date=day,
        month=month_of(day),
        text=draft.text[:200],
        source=draft.source,
        by=by,
        reverses_id=draft.reverses,
        later_change=draft.document_date < open_day or _concerns_closed(draft, open_day),
    )


def _concerns_closed(draft: EntryDraft, open_day: date) -> bool:
    if draft.reverses is None:
        return False
    return Entry.objects.filter(number=draft.reverses, posting_date__lt=open_day).exists()


class _Row(NamedTuple):
    """A line as it is written: a plain tuple, because a payout file brings ten thousand of them."""

    entry_id: int
    ordinal: int
    account_id: str
    purpose_id: str
    cost_object_id: str | None
    amount: Money
    document_date: date
    posting_date: date
    month: str
    party: str
    text: str


def _lines(entry: Entry, drafts: Sequence[LineDraft]) -> list[_Row]:
    return [
        _Row(
            entry.number,
            ordinal,
            line.account,
            line.purpose,
            line.cost_object,
            line.amount,
            line.document_date or entry.document_date,
            entry.posting_date,
            entry.month,
            line.party,
            line.text[:200],
        )
        for ordinal, line in enumerate(drafts, start=1)
    ]


def _write_lines(rows: Sequence[_Row]) -> None:
    days = {day: day_value(day) for day in {day for row in rows for day in row[6:8]}}
    names = _Row._fields
    insert_rows(
        Line,
        names,
        [
            (*row[:5], row.amount.minor, days[row.document_date], days[row.posting_date], *row[8:])
            for row in rows
        ],
    )


def entry_digest(entry: Entry, lines: Sequence[Line | _Row]) -> str:
    """The digest an entry with these lines must have (hex)."""
    head: dict[str, Any] = {
        "number": entry.number,
        "kind": entry.kind,
        "document_date": entry.document_date.isoformat(),
        "posting_date": entry.posting_date.isoformat(),
        "text": entry.text,
        "source": entry.source,
        "by": entry.by_id,
        "reverses": entry.reverses_id,
        "later_change": entry.later_change,
        "created_at": entry.created_at.isoformat(),
    }
    rows = [
        (
            line.ordinal,
            line.account_id,
            line.purpose_id,
            line.cost_object_id,
            line.amount.minor,
            line.document_date.isoformat(),
            line.party,
            line.text,
        )
        for line in lines
    ]
    return digest(head, rows, entry.prev_digest)


@transaction.atomic
def reverse(*, by: Person, entry: Entry, reason: str, on: date | None = None) -> Entry:
    """Cancel a posted entry by its mirror image, dated ``on`` (default today) and pointing back at it.

    Refuses an entry that has been reversed before, and an empty reason.
    """
    if not reason.strip():
        raise BadInput("Say in a few words why the entry is reversed.")
    hold_books()
    if Entry.objects.filter(reverses=entry).exists():
        raise AlreadyDone(f"Entry {entry.number} has been reversed before. Nothing was posted.")
    lines = [
        LineDraft(row.account_id, -row.amount, row.purpose_id, row.cost_object_id, row.text, row.party)
        for row in entry.lines.all()
    ]
    text = f"Reversal of entry {entry.number}: {reason.strip()}"
    day = on or clock.today()
    draft = EntryDraft("reversal", day, text, lines, entry.source, max(day, first_open_day()), entry.number)
    mirror = post(by=by, draft=draft)
    record(
        by=by,
        action="ledger.reverse",
        subject=f"entry {entry.number}",
        text=text,
        data={"entry": mirror.number},
    )
    return mirror


@transaction.atomic
def close_month(*, by: Person, month: str) -> Month:
    """Close a month: freeze its balances and let the database refuse any further posting in it.

    Months close in order, and not before they are over.
    """
    require(by, "month.close")
    first_day(month)
    hold_books()
    last, today = last_closed_month(), clock.today()
    if last and month <= last:
        raise AlreadyDone(f"{month} is already closed.")
    expected = next_month(last) if last else first_month()
    if expected is None:
        raise NotReady("There is nothing in the books yet, so there is no month to close.")
    if month != expected:
        raise NotReady(f"Months close in order: close {expected} first.")
    if month >= month_of(today):
        raise NotReady(f"{month} is not over yet. Close it on or after the first day of {next_month(month)}.")
    row, _ = Month.objects.get_or_create(key=month)
    row.closed_at, row.closed_by = clock.now(), by
    row.save(update_fields=["closed_at", "closed_by"])
    _freeze_balances(row)
    record(by=by, action="month.close", subject=month, text=f"{by.label} closed {month}.")
    return row


def _freeze_balances(month: Month) -> None:
    before = MonthBalance.objects.filter(month=previous_month(month.key))
    opening = {(row.account_id, row.purpose_id): row.closing for row in before}
    moves = (
        Line.objects.filter(month=month.key)
        .order_by()
        .values_list("account_id", "purpose_id")
        .annotate(debit=Sum("amount", filter=Q(amount__gt=0)), credit=Sum("amount", filter=Q(amount__lt=0)))
    )
    moved = {
        (code, pot): (debit or Money.zero, -(credit or Money.zero)) for code, pot, debit, credit in moves
    }
    rows = []
    for code, pot in sorted({*opening, *moved}):
        start = opening.get((code, pot), Money.zero)
        plus, minus = moved.get((code, pot), (Money.zero, Money.zero))
        row = MonthBalance(
            month=month, account_id=code, purpose_id=pot, opening=start, debit=plus, credit=minus
        )
        row.closing = start + plus - minus
        rows.append(row)
    MonthBalance.objects.bulk_create(rows)


@transaction.atomic
def add_purpose(*, by: Person, code: str, name: str, giver_words: str = "") -> Purpose:
    """Open a restriction named by a giver. Refuses one that exists."""
    require(by, "gift.record")
    if Purpose.objects.filter(code=code).exists():
        raise AlreadyDone(f"There is already a purpose “{code}”.")
    purpose = Purpose.objects.create(code=code, name=name, restricted=True, giver_words=giver_words)
    record(
        by=by,
        action="purpose.add",
        subject=code,
        text=f"New purpose “{name}”.",
        data={"giver_words": giver_words},
    )
    return purpose


def add_cost_object(*, by: Person, code: str, label: str) -> CostObject:
    """Open a cost object. Called by the action that opens a repair order, inside its transaction."""
    return CostObject.objects.create(code=code, label=label)


@transaction.atomic
def add_clearing_account(*, by: Person, name: str) -> Account:
    """A sub-account of platform clearing for one more payment platform."""
    require(by, "gift.layout")
    hold_books()
    last = Account.objects.filter(parent_id="1030").aggregate(last=Max("code"))["last"] or "1030"
    account = Account.objects.create(
        code=str(int(last) + 1), name=f"Clearing: {name}"[:80], kind="asset", parent_id="1030"
    )
    record(by=by, action="account.add", subject=account.code, text=f"New clearing account for {name}.")
    return account
