"""Rows of the workbook, streamed. Names are looked up in small tables read once."""

from collections.abc import Iterator
from typing import Any

from django.db.models import Sum

from fund.access.models import Person
from fund.gifts.models import Gift, GiftReturn
from fund.ledger.chart import CORES
from fund.ledger.models import Account, Entry, Line, Purpose
from fund.ledger.rules import Pots
from fund.money import Money
from fund.receipts.models import Receipt
from fund.repayments.models import Repayment
from jobs.approvals.models import Approval
from reports.workbook.rules import Span

CHUNK = 2000


def last_entry() -> int:
    """The entry the workbook stops at, so that all its sheets speak of the same books."""
    return Entry.objects.order_by("-number").values_list("number", flat=True).first() or 0


def people() -> dict[int, str]:
    return {person.pk: person.label for person in Person.objects.all()}


def purpose_names() -> dict[str, str]:
    return dict(Purpose.objects.values_list("code", "name"))


def accounts() -> list[Account]:
    return list(Account.objects.order_by("code"))


def accounts_of(*pots: Pots) -> list[Account]:
    """The accounts these balances speak of, in the order of the chart."""
    codes = {code for pot in pots for code, _ in pot}
    return [account for account in accounts() if account.code in codes]


def approvers(names: dict[int, str]) -> dict[str, str]:
    """Who said yes to each repair, by its cost object: names in the order they did."""
    found: dict[str, list[str]] = {}
    rows = Approval.objects.filter(
        kind__in=["agreement", "approval", "consumables", "supplement", "ratification"]
    )
    for code, person in rows.order_by("id").values_list("repair__cost_object_id", "approver_id"):
        said = found.setdefault(code, [])
        if names[person] not in said:
            said.append(names[person])
    return {code: ", ".join(said) for code, said in found.items()}


def releasers(names: dict[int, str]) -> dict[int, str]:
    """Who released the money of an entry that repays a crew member, by entry number."""
    rows = Repayment.objects.filter(entry__isnull=False, released_by__isnull=False)
    return {entry: names[person] for entry, person in rows.values_list("entry_id", "released_by_id")}


def ledger_rows(span: Span, until_entry: int) -> Iterator[tuple[Any, ...]]:
    """One row per line in the order of :data:`sheets_books.LEDGER`."""
    names, pots = people(), purpose_names()
    chart = {account.code: account.name for account in accounts()}
    said, paid = approvers(names), releasers(names)
    first, last = span.months
    lines = Line.objects.filter(month__gte=first, month__lte=last, entry_id__lte=until_entry)
    rows = lines.order_by("entry_id", "ordinal").values_list(
        "posting_date", "document_date", "entry_id", "account_id", "amount", "purpose_id", "cost_object_id",
        "party", "text", "entry__text", "entry__source", "entry__by_id", "entry__reverses_id", "entry__later_change",
    )  # fmt: skip
    zero = Money.zero
    for (
        posted,
        dated,
        entry,
        code,
        amount,
        pot,
        job,
        party,
        text,
        head,
        source,
        by,
        reverses,
        later,
    ) in rows.iterator(CHUNK):
        yield (
            posted, dated, entry, code, chart[code], amount if amount > zero else None,
            -amount if amount < zero else None, pots[pot], job, party, text or head, source, names[by],
            paid.get(entry) or said.get(job), reverses, "yes" if later else None,
        )  # fmt: skip


def gift_rows(span: Span, until_entry: int) -> Iterator[tuple[Any, ...]]:
    """Gifts by the day they were posted, then what went back in the same days as rows of its own."""
    pots = purpose_names()
    where = {
        "entry__posting_date__range": (span.start, span.end),
        "entry_id__lte": until_entry,
    }
    gifts = Gift.objects.filter(**where).order_by("entry_id", "id")
    for code, posted, on, kind, who, name, pot, amount, platform, fee, processing, ref, entry in gifts.values_list(
        "code", "entry__posting_date", "received_on", "kind", "supporter__code", "supporter__name", "purpose_id",
        "amount", "platform__name", "platform_fee", "processing_fee", "platform_ref", "entry_id",
    ).iterator(CHUNK):  # fmt: skip
        yield (
            code,
            on,
            posted,
            kind,
            who,
            name,
            pots[pot],
            amount,
            fee,
            processing,
            None,
            platform,
            ref,
            entry,
        )
    returns = GiftReturn.objects.filter(**where).order_by("entry_id", "id")
    for code, posted, on, kind, who, name, pot, amount, platform, ref, entry in returns.values_list(
        "gift__code", "entry__posting_date", "on", "kind", "gift__supporter__code", "gift__supporter__name",
        "purpose_id", "amount", "platform__name", "platform_ref", "entry_id",
    ).iterator(CHUNK):  # fmt: skip
        yield code, on, posted, kind, who, name, pots[pot], None, None, None, amount, platform, ref, entry


def receipt_rows(span: Span, until_entry: int) -> Iterator[tuple[Any, ...]]:
    """Receipts by the day they were posted; one taken back stays, with its state."""
    names = people()
    rows = Receipt.objects.filter(
        entry__posting_date__range=(span.start, span.end), entry_id__lte=until_entry
    ).order_by("entry_id")
    for code, on, posted, store, number, tender, buyer, tax, amount, owed, state, photo, entry, entered in (
        rows.values_list(
            "code", "on", "entry__posting_date", "supplier__name", "number", "tender", "buyer_id", "tax", "total",
            "owed", "state", "photo__code", "entry_id", "entered_by_id",
        ).iterator(CHUNK)
    ):  # fmt: skip
        paid = dict(Receipt._meta.get_field("tender").choices or ())[tender]
        yield (
            code, on, posted, store, number, paid, names[buyer], tax, amount, owed, state, photo, entry,
            names[entered],
        )  # fmt: skip


def line_count(span: Span, until_entry: int) -> int:
    first, last = span.months
    return Line.objects.filter(month__gte=first, month__lte=last, entry_id__lte=until_entry).count()


def purchases_in(span: Span, until_entry: int, account_codes: tuple[str, ...]) -> dict[str, Money]:
    """What was booked on each cost object in the span, on these accounts."""
    first, last = span.months
    rows = Line.objects.filter(
        month__gte=first, month__lte=last, entry_id__lte=until_entry, account__in=account_codes
    ).exclude(cost_object=None)
    return dict(rows.order_by().values_list("cost_object_id").annotate(sum=Sum("amount")))


def open_cores(span: Span, until_entry: int) -> dict[str, Money]:
    """Core deposits still out on each cost object at the end of the span."""
    rows = Line.objects.filter(
        account=CORES, posting_date__lte=span.end, entry_id__lte=until_entry, cost_object__isnull=False
    )
    sums = rows.order_by().values_list("cost_object_id").annotate(sum=Sum("amount"))
    return {code: amount for code, amount in sums if amount}
