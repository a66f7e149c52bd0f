"""Posting a platform's payout file. Running it twice posts nothing the second time."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.benefits_back import settle_benefits
from fund.gifts.matching import match_supporters
from fund.gifts.models import Layout, Payout, PayoutFile
from fund.gifts.payout_posting import draft_entries, write_rows
from fund.gifts.payout_rows import write_declines
from fund.gifts.queries_payout import Plan, plan_import
from fund.gifts.rules import gift_kind
from fund.gifts.rules_layout import GIFT
from fund.gifts.rules_reading import read_file
from fund.gifts.watch import watch_import
from fund.ledger.actions import post_many
from fund.ledger.lock import hold_books
from fund.ledger.queries import first_possible_day
from fund.money import total
from fund.refusal import AlreadyDone, BadInput
from fund.trail.actions import record

MANY_DETAILS = 20


@dataclass(frozen=True)
class PayoutImport:
    """What an import did. `posted` and `already` count rows of the file, the payout row among them."""

    posted: int
    already: int
    gifts: int = 0
    payouts: list[Payout] = field(default_factory=list)
    entries: list[int] = field(default_factory=list)

    @property
    def sentence(self) -> str:
        return f"{self.posted} posted, {self.already} already booked."


@transaction.atomic
def keep_file(*, by: Person, data: bytes, filename: str, layout: Layout) -> PayoutFile:
    """Keep an uploaded file for its preview, so that it need not be sent again to be posted.

    Refuses what cannot be read at all (:func:`read_file`); problems of single rows are for the preview.
    """
    require(by, "gift.import")
    reading = read_file(data, layout.spec, today=clock.today(), earliest=first_possible_day())
    return _keep(by, data, filename, layout, reading.sha256)


def _keep(by: Person, data: bytes, filename: str, layout: Layout, sha256: str) -> PayoutFile:
    name = filename.replace("\\", "/").rsplit("/", 1)[-1][:200] or "payout.csv"
    file, _ = PayoutFile.objects.get_or_create(
        sha256=sha256, layout=layout, defaults={"name": name, "data": data, "by": by, "at": clock.now()}
    )
    return file


@transaction.atomic
def discard_file(*, by: Person, file: PayoutFile) -> str:
    """Drop a kept file that was not posted; gives its name. A posted file stays as evidence."""
    require(by, "gift.import")
    hold_books()
    file = PayoutFile.objects.get(pk=file.pk)
    if file.posted_at is not None:
        raise AlreadyDone(f"{file.name} is posted and stays with its payouts.")
    file.delete()
    record(by=by, action="payout.discard", subject=file.name[:60], text=f"{file.name} was dropped unposted.")
    return file.name


@transaction.atomic
def import_payout(
    *,
    by: Person,
    data: bytes,
    filename: str,
    layout: Layout,
    progress: Callable[[int], object] | None = None,
) -> PayoutImport:
    """Post a payout file whole, or refuse it whole.

    Gifts are booked gross on their charge date, fees and refunds beside them, and the transfer on its own date;
    afterwards the platform's clearing account holds nothing of this payout. Rows booked before are left alone:
    those paid out with an earlier payout belong to that one; those that waited in clearing count toward this
    one. `progress` is called with numbers of rows done.

    Refuses (BadInput) with every reason in `details`: what :func:`read_file` and :func:`plan_import` find, above
    all gross - fees - refunds that differs from the payout by a cent.
    """
    require(by, "gift.import")
    hold_books()
    reading = read_file(data, layout.spec, today=clock.today(), earliest=first_possible_day(), tick=progress)
    plan = plan_import(reading, layout)
    if plan.refusals:
        shown = plan.refusals[:MANY_DETAILS]
        if len(plan.refusals) > MANY_DETAILS:
            shown.append(f"... and {len(plan.refusals) - MANY_DETAILS} more.")
        raise BadInput("The payout file is refused and nothing was posted.", shown)
    already = plan.already
    declined = write_declines(plan)
    if not plan.new_rows and not plan.new_payouts and not plan.adopted and not plan.lost and not declined:
        return PayoutImport(0, already)
    file = _keep(by, data, filename, layout, reading.sha256)
    PayoutFile.objects.filter(pk=file.pk).update(posted_at=clock.now())
    return _post(by, plan, file, already)


def _post(by: Person, plan: Plan, file: PayoutFile, already: int) -> PayoutImport:
    supporters = match_supporters(plan.platform, [row for row in plan.new_rows if row.kind == GIFT])
    batch = draft_entries(plan, supporters, source=file.name[:120])
    entries = post_many(by=by, drafts=batch.drafts)
    payouts = write_rows(plan, batch, supporters, entries, file)
    settle_benefits(by=by, entries=entries)
    watch_import(
        by=by, kind=gift_kind(plan.platform.kind), rows=plan.new_rows, givers=supporters, payouts=payouts
    )
    done = PayoutImport(
        posted=len(plan.new_rows) + len(payouts),
        already=already,
        gifts=len(batch.codes),
        payouts=payouts,
        entries=[entry.number for entry in entries],
    )
    net = total(payout.net for payout in payouts)
    names = ", ".join(payout.ref for payout in payouts) or "no payout yet"
    text = f"{plan.platform.name}, {file.name}: {done.gifts} gifts, {names}, {net.dollars} to the bank."
    data: dict[str, Any] = {
        "posted": done.posted,
        "already": already,
        "entries": done.entries[:50],
        "sha256": plan.sha256,
    }
    record(by=by, action="payout.import", subject=plan.platform.code, text=text, data=data)
    return done
