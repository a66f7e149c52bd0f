"""From a plan without refusals to entries and rows. Part of the import action."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fund.bulk import among
from fund.gifts.matching import Giver
from fund.gifts.models import Gift, GiftReturn, Payout, PayoutFile, PlatformFee
from fund.gifts.payout_rows import fee_side, write_gifts, write_returns_and_fees
from fund.gifts.queries_payout import PayoutPlan, Plan
from fund.gifts.rules import CHARGEBACK, GENERAL
from fund.gifts.rules_day import PlatformCharge, PlatformGift, PlatformReturn, day_entry, payout_entry
from fund.gifts.rules_layout import BACK_AGAIN, DISPUTE_LOST, FEES, GIFT, RETURNS
from fund.gifts.rules_payout import net_by_purpose, signed_fee
from fund.gifts.rules_rows import FileRow
from fund.ledger.models import Entry
from fund.ledger.rules import EntryDraft
from fund.money import Money
from fund.numbers import next_codes


@dataclass
class Batch:
    """Entries to post and where each will be found again: by charge day, and by payout reference."""

    drafts: list[EntryDraft]
    day_at: dict[date, int]
    payout_at: dict[str, int]
    codes: dict[str, str]


def draft_entries(plan: Plan, supporters: dict[int, Giver], *, source: str) -> Batch:
    """One entry for each charge day, then one for each payout. Gift codes are taken here, in order of the file."""
    fresh = [row.ref for row in plan.new_rows if row.kind == GIFT]
    codes = dict(
        zip(fresh, next_codes(Gift, "code", "G-", len(fresh), width=5) if fresh else [], strict=True)
    )
    parties = {row.ref: supporters[row.row].code for row in plan.new_rows if row.row in supporters}
    days: dict[date, list[FileRow]] = {}
    for row in plan.new_rows:
        days.setdefault(row.on, []).append(row)
    drafts: list[EntryDraft] = []
    day_at: dict[date, int] = {}
    for day in sorted(days):
        day_at[day] = len(drafts)
        drafts.append(_day(plan, day, days[day], codes, parties, source))
    payout_at: dict[str, int] = {}
    for payout in sorted(plan.new_payouts, key=lambda payout: payout.group.paid_on):
        draft = payout_entry(
            payout.group.paid_on,
            clearing=plan.platform.account_id,
            text=f"Payout {payout.group.ref} of {plan.platform.name}",
            source=source,
            net_by_purpose=net_by_purpose(payout.rows, GENERAL),
        )
        if draft:
            payout_at[payout.group.ref] = len(drafts)
            drafts.append(draft)
    return Batch(drafts, day_at, payout_at, codes)


def _day(
    plan: Plan, day: date, rows: list[FileRow], codes: dict[str, str], parties: dict[str, str], source: str
) -> EntryDraft:
    restricted = plan.restricted
    gifts = [
        PlatformGift(
            row.amount,
            row.platform_fee,
            row.processing_fee,
            row.purpose,
            restricted[row.purpose],
            parties.get(row.ref, ""),
            f"Gift {codes[row.ref]}",
            row.exchange,
        )
        for row in rows
        if row.kind == GIFT
    ]
    returns = [_return(plan, row, parties) for row in rows if row.kind in RETURNS or row.kind in BACK_AGAIN]
    charges = [
        PlatformCharge(Money(signed_fee(row)), fee_side(row, plan.platform.kind), row.ref)
        for row in rows
        if row.kind in FEES
    ]
    return day_entry(
        day,
        clearing=plan.platform.account_id,
        text=f"{plan.platform.name}: gifts and charges of {day}",
        source=source,
        gifts=gifts,
        returns=returns,
        charges=charges,
    )


def _return(plan: Plan, row: FileRow, parties: dict[str, str]) -> PlatformReturn:
    gift = plan.returned_gifts.get(row.ref)
    party = gift.party if gift else parties.get(row.gift_ref, "")
    text = f"{row.kind.capitalize()} {row.ref}"
    dispute, again = row.kind in (CHARGEBACK, DISPUTE_LOST), row.kind in BACK_AGAIN
    return PlatformReturn(row.amount, row.fees, dispute, row.purpose, party, text, row.exchange, again)


def write_rows(
    plan: Plan,
    batch: Batch,
    supporters: dict[int, Giver],
    entries: Sequence[Entry],
    file: PayoutFile,
) -> list[Payout]:
    """Payouts, gifts, returns and fees, each with its entry; rows that waited in clearing get their payout."""
    payouts = {payout.group.ref: _payout(plan, payout, batch, entries, file) for payout in plan.new_payouts}
    of_row = {row.ref: payouts[p.group.ref].pk for p in plan.new_payouts for row in p.rows}
    where = {day: entries[index].number for day, index in batch.day_at.items()}
    gifts = write_gifts(plan, batch.codes, supporters, of_row, where)
    write_returns_and_fees(plan, gifts, of_row, where)
    for payout in plan.new_payouts:
        _link_held(payout, payouts[payout.group.ref])
    return list(payouts.values())


def _payout(
    plan: Plan, payout: PayoutPlan, batch: Batch, entries: Sequence[Entry], file: PayoutFile
) -> Payout:
    group, tie = payout.group, payout.tie
    at = batch.payout_at.get(group.ref)
    return Payout.objects.create(
        platform=plan.platform,
        ref=group.ref,
        paid_on=group.paid_on,
        gross=tie.gross,
        platform_fee=tie.platform_fee,
        processing_fee=tie.processing_fee,
        dispute_fee=tie.dispute_fee,
        refunds=tie.refunds,
        exchange=tie.exchange,
        net=tie.stated,
        file=file,
        entry=None if at is None else entries[at],
    )


def _link_held(plan: PayoutPlan, payout: Payout) -> None:
    kinds: tuple[tuple[type[Gift] | type[GiftReturn] | type[PlatformFee], tuple[str, ...]], ...] = (
        (Gift, (GIFT,)),
        (GiftReturn, (*RETURNS, *BACK_AGAIN)),
        (PlatformFee, FEES),
    )
    for model, row_kinds in kinds:
        refs = sorted(row.ref for row in plan.held if row.kind in row_kinds)
        if refs:
            waiting = model.objects.filter(platform=payout.platform, platform_ref__in=among(refs))
            waiting.update(payout=payout)
