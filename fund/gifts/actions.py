from datetime import date

from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.actions_supporters import add_supporter, edit_supporter
from fund.gifts.hand import Charge, GivenPart, Hand, check_hand
from fund.gifts.models import Benefit, Gift, GiftBenefit, Supporter
from fund.gifts.rules import GENERAL, GIFT_KINDS, GOODS, PLATFORM, TRANSFER, VIA_CREW, hand_gift_entry
from fund.gifts.rules_day import PlatformGift, day_entry
from fund.gifts.rules_terms import GIFT, account_of
from fund.gifts.rules_watch import OWN_ACCOUNT, TO_CREW
from fund.gifts.watch import flag, watch_by_hand
from fund.ledger import chart
from fund.ledger.actions import post
from fund.ledger.lock import hold_books
from fund.ledger.models import CostObject, Entry, Purpose
from fund.ledger.rules import EntryDraft
from fund.money import Money
from fund.numbers import next_code
from fund.receipts.actions_shelf import receive_lot
from fund.refusal import BadInput
from fund.trail.actions import record

__all__ = ["Charge", "GivenPart", "add_supporter", "edit_supporter", "record_gift"]


@transaction.atomic
def record_gift(
    *,
    by: Person,
    kind: str,
    received_on: date,
    amount: Money,
    supporter: Supporter | None = None,
    purpose: str = GENERAL,
    check_number: str = "",
    charge: Charge | None = None,
    goods_account: str = chart.SUPPLIES,
    part: GivenPart | None = None,
    note: str = "",
    nature: str = GIFT,
    terms: str = "",
    arrived_on: date | None = None,
    payable_to: Person | None = None,
    endorsed: bool = False,
    held_by: Person | None = None,
    kept_fee: Money = Money.zero,
    benefit: Benefit | None = None,
    cost_object: CostObject | None = None,
    credited: tuple[Supporter, ...] = (),
) -> Gift:
    """Book one gift at the amount the supporter gave.

    A transfer lies in the bank, a check or named cash waits undeposited, a platform or card gift waits in that
    platform's clearing account (`charge`), goods go to `goods_account` at fair value on the day; goods for the
    shelf become a lot there (`part`), so that the shelf can say what it holds, and may be worth nothing. `received_on`
    is the giver's day: the postmark of a mailed check, the charge date of a card; `arrived_on` the day the mail was
    opened. If its month is closed the entry is posted in the first open month and keeps this date.

    `nature` and `terms`: a gift with a condition or for a named person is owed back until settled, a deposit from
    nobody known waits apart, a household's share of its own repair (`cost_object`) is no gift. `payable_to`: a check
    made out to a crew member, `endorsed` over and copied. `held_by`: whose own account it came through. `kept_fee`:
    the charge a sender's service kept of it. `benefit`: what is owed in return. `credited`: whom an employer's match
    is to be told to, without it being their gift.

    Refuses what :func:`fund.gifts.hand.check_hand` refuses.
    """
    require(by, "gift.record")
    hold_books()
    told = Hand(
        kind=kind,
        received_on=received_on,
        amount=amount,
        supporter=supporter,
        purpose=purpose,
        check_number=check_number.strip(),
        charge=charge,
        goods_account=goods_account,
        part=part,
        note=note.strip(),
        nature=nature,
        terms=terms.strip(),
        arrived_on=arrived_on,
        payable_to=payable_to,
        endorsed=endorsed,
        held_by=held_by,
        kept_fee=kept_fee,
        benefit=benefit,
        cost_object=cost_object,
    )
    pot = check_hand(told)
    code = next_code(Gift, "code", "G-", width=5)
    entry = post(by=by, draft=_entry(told, code, pot)) if amount else None
    gift = Gift.objects.create(
        code=code,
        supporter=supporter,
        received_on=received_on,
        arrived_on=arrived_on,
        amount=amount,
        kind=kind,
        nature=nature,
        terms=told.terms,
        purpose=pot,
        cost_object=cost_object,
        platform=charge.platform if charge else None,
        platform_ref=charge.ref if charge else "",
        platform_fee=charge.platform_fee if charge else Money.zero,
        processing_fee=charge.processing_fee if charge else kept_fee,
        check_number=told.check_number,
        payable_to=payable_to,
        held_by=held_by,
        entry=entry,
        note=told.note,
    )
    gift.credited.set(credited)
    _afterwards(by, gift, told)
    party = supporter.code if supporter else "someone unnamed"
    text = f"{code}: {amount.dollars} by {GIFT_KINDS[kind]} from {party}, for {pot.name}."
    data = {"entry": entry.number if entry else None, "nature": nature}
    record(by=by, action="gift.record", subject=code, text=text, data=data)
    return gift


def _afterwards(by: Person, gift: Gift, told: Hand) -> None:
    """The lot on the shelf, the benefit owed, and what a second look is owed to."""
    if told.part:
        _onto_the_shelf(by, gift, told.part)
    if told.benefit and gift.entry:
        owed = told.benefit
        GiftBenefit.objects.create(
            gift=gift,
            benefit=owed,
            value=owed.value,
            cost=owed.cost,
            bears_name=owed.bears_name,
            entry=gift.entry,
        )
    if told.payable_to:
        text = f"{gift.code}: check {gift.check_number} is made out to {told.payable_to.label} and was endorsed over."
        flag(by=by, kind=TO_CREW, text=text, gifts=[gift])
    if told.held_by:
        text = f"{gift.code}: {gift.amount.dollars} came to {told.held_by.label}'s own account."
        flag(by=by, kind=OWN_ACCOUNT, text=text, gifts=[gift])
    watch_by_hand(by=by, gift=gift)


def _onto_the_shelf(by: Person, gift: Gift, part: GivenPart) -> None:
    receive_lot(
        by=by,
        item=part.item,
        unit=part.unit,
        quantity=part.quantity,
        cost=gift.amount,
        on=gift.received_on,
        source=gift.code,
        entry=gift.entry,
    )


def _entry(told: Hand, code: str, pot: Purpose) -> EntryDraft:
    credit = account_of(told.nature, told.kind, pot.restricted)
    party = told.supporter.code if told.supporter else ""
    value = told.benefit.value if told.benefit else Money.zero
    if told.charge:
        return _charge_entry(told, told.charge, code, pot, credit, party, value)
    where = {TRANSFER: chart.BANK, GOODS: told.goods_account, VIA_CREW: chart.DUE_FROM_CREW}
    return hand_gift_entry(
        kind=told.kind,
        on=told.received_on,
        amount=told.amount,
        account=where.get(told.kind, chart.UNDEPOSITED),
        credit=credit,
        purpose=pot.code,
        party=party,
        code=code,
        kept_fee=told.kept_fee,
        benefit=value,
        holder=told.held_by.username if told.held_by else "",
        cost_object=told.cost_object.code if told.cost_object else None,
    )


def _charge_entry(
    told: Hand, charge: Charge, code: str, pot: Purpose, credit: str, party: str, benefit: Money
) -> EntryDraft:
    gift = PlatformGift(
        told.amount,
        charge.platform_fee,
        charge.processing_fee,
        pot.code,
        pot.restricted,
        party,
        f"Gift {code}",
        benefit=benefit,
        account=credit if credit != account_of(GIFT, PLATFORM, pot.restricted) else "",
    )
    return day_entry(
        told.received_on,
        clearing=charge.platform.account_id,
        text=f"Gift {code} through {charge.platform.name}",
        source=code,
        gifts=[gift],
    )


def entry_of(gift: Gift) -> Entry:
    """The entry of a gift that has one. Refuses goods worth nothing, which the books never saw."""
    if gift.entry is None:
        raise BadInput(f"{gift.code} is worth 0.00 and has no entry.")
    return gift.entry
