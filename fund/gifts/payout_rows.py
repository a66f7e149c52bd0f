"""The rows of a posted file: gifts, what went back, fees, declined cards. Part of the import action."""

from datetime import date
from typing import Any

from fund.bulk import among, day_value, insert_rows
from fund.gifts.matching import Giver, known_supporters
from fund.gifts.models import Decline, Gift, GiftForeign, GiftReturn, PlatformFee
from fund.gifts.queries_payout import Plan
from fund.gifts.rules import (
    CARD,
    CHARGEBACK,
    DISPUTE_SIDE,
    DISPUTE_WON,
    PLATFORM_SIDE,
    PROCESSING_SIDE,
    gift_kind,
)
from fund.gifts.rules_layout import (
    BACK_AGAIN,
    DISPUTE_FEE,
    DISPUTE_FEE_BACK,
    DISPUTE_LOST,
    FEES,
    GIFT,
    RETURNS,
)
from fund.gifts.rules_payout import signed_fee
from fund.gifts.rules_returns import LOST, OPEN, WON
from fund.gifts.rules_rows import FileRow
from fund.gifts.rules_terms import GIFT as NATURE
from fund.money import Money

_GIFT_COLUMNS = (
    "code supporter received_on amount kind nature terms purpose platform platform_ref platform_fee processing_fee "
    "exchange payout check_number testing entry note"
).split()


def write_gifts(
    plan: Plan,
    codes: dict[str, str],
    supporters: dict[int, Giver],
    of_row: dict[str, int],
    where: dict[date, int],
) -> dict[str, int]:
    """Write the new gifts; gives the keys of those that another row of the same file points at, by reference."""
    kind, platform = gift_kind(plan.platform.kind), plan.platform.pk
    days = {day: day_value(day) for day in where}
    rows: list[tuple[Any, ...]] = []
    foreign: list[FileRow] = []
    for row in plan.new_rows:
        if row.kind != GIFT:
            continue
        giver = supporters.get(row.row)
        if row.currency:
            foreign.append(row)
        rows.append(
            (
                codes[row.ref],
                giver.pk if giver else None,
                days[row.on],
                row.amount.minor,
                kind,
                NATURE,
                "",
                row.purpose,
                platform,
                row.ref,
                row.platform_fee.minor,
                row.processing_fee.minor,
                row.exchange.minor,
                of_row.get(row.ref),
                "",
                False,
                where[row.on],
                "",
            )
        )
    insert_rows(Gift, _GIFT_COLUMNS, rows)
    wanted = {row.gift_ref for row in plan.new_rows if row.gift_ref in codes} | {row.ref for row in foreign}
    found = Gift.objects.filter(platform=plan.platform, platform_ref__in=among(sorted(wanted))).order_by()
    keys: dict[str, int] = dict(found.values_list("platform_ref", "pk"))
    GiftForeign.objects.bulk_create(
        GiftForeign(
            gift_id=keys[row.ref],
            currency=row.currency,
            amount=row.foreign.minor,
            rate_millionths=row.rate,
            rate_on=row.on,
        )
        for row in foreign
    )
    return keys


def write_returns_and_fees(
    plan: Plan, gifts: dict[str, int], of_row: dict[str, int], where: dict[date, int]
) -> None:
    """What went back, what came back again, fees of their own; disputes that a row decides; refunds that get their id."""
    rows = [row for row in plan.new_rows if row.kind in RETURNS or row.kind in BACK_AGAIN]
    back = [_return(plan, row, gifts, of_row, where) for row in rows]
    GiftReturn.objects.bulk_create(back)
    for one in back:
        if one.kind == DISPUTE_WON and one.gift_id:
            _decide(GiftReturn.objects.filter(gift=one.gift_id, outcome=OPEN), WON, one.on)
    for ref, on in plan.lost.items():
        known = GiftReturn.objects.filter(gift__platform=plan.platform, gift__platform_ref=ref, outcome=OPEN)
        _decide(known, LOST, on)
    for ref, pk in plan.adopted.items():
        GiftReturn.objects.filter(pk=pk).update(platform_ref=ref)
    PlatformFee.objects.bulk_create(
        PlatformFee(
            platform=plan.platform,
            platform_ref=row.ref,
            on=row.on,
            amount=Money(signed_fee(row)),
            side=fee_side(row, plan.platform.kind),
            payout_id=of_row.get(row.ref),
            entry_id=where[row.on],
        )
        for row in plan.new_rows
        if row.kind in FEES
    )


def _decide(waiting: Any, outcome: str, on: date) -> None:
    waiting.update(outcome=outcome, decided_on=on, decided_words="told by the platform")


def _return(
    plan: Plan, row: FileRow, gifts: dict[str, int], of_row: dict[str, int], where: dict[date, int]
) -> GiftReturn:
    booked = plan.returned_gifts.get(row.ref)
    disputed = row.kind in (CHARGEBACK, DISPUTE_LOST)
    return GiftReturn(
        kind=CHARGEBACK if disputed else row.kind,
        outcome="" if not disputed else LOST if row.kind == DISPUTE_LOST else OPEN,
        gift_id=booked.pk if booked else gifts.get(row.gift_ref),
        on=row.on,
        amount=-row.amount if row.kind in BACK_AGAIN else row.amount,
        fee=row.fees,
        exchange=row.exchange,
        purpose_id=row.purpose,
        platform=plan.platform,
        platform_ref=row.ref,
        payout_id=of_row.get(row.ref),
        entry_id=where[row.on],
    )


def fee_side(row: FileRow, platform_kind: str) -> str:
    """What a fee in a row of its own is for."""
    if row.kind in (DISPUTE_FEE, DISPUTE_FEE_BACK):
        return DISPUTE_SIDE
    return PROCESSING_SIDE if platform_kind == CARD else PLATFORM_SIDE


def write_declines(plan: Plan) -> int:
    """Cards that could not be charged, of supporters the books know; each once. Gives how many are new."""
    rows = [row for row in plan.declines if row.ref]
    refs = sorted({row.ref for row in rows})
    known = set(
        Decline.objects.filter(platform=plan.platform, platform_ref__in=among(refs)).values_list(
            "platform_ref", flat=True
        )
    )
    fresh = {row.ref: row for row in rows if row.ref not in known}
    whose = known_supporters(plan.platform, list(fresh.values()))
    Decline.objects.bulk_create(
        Decline(platform=plan.platform, platform_ref=ref, supporter_id=whose.get(row.row), on=row.on)
        for ref, row in fresh.items()
    )
    return len(fresh)
