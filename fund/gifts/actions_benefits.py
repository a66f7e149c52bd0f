"""What members get in return: owed with the gift, earned when it is sent."""

from datetime import date

from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.actions_returns import fresh, not_gone, within
from fund.gifts.models import Benefit, Gift, GiftBenefit
from fund.gifts.rules import GENERAL, GOODS
from fund.gifts.rules_settle import benefit_owed_entry, benefit_sent_entry
from fund.gifts.rules_terms import GIFT
from fund.ledger.actions import post
from fund.ledger.lock import hold_books
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record


@transaction.atomic
def add_benefit(*, by: Person, name: str, value: Money, cost: Money, bears_name: bool = False) -> Benefit:
    """Write down something members get: what a giver would pay for it, what the fund pays, and whether it bears the
    fund's name (which a token benefit does). Gifts keep the figures of their day, so a new price is a new benefit.
    """
    require(by, "gift.record")
    hold_books()
    if not name.strip() or value.minor <= 0 or cost.minor < 0:
        raise BadInput("A benefit has a name, a value above zero and a cost of zero or more.")
    if Benefit.objects.filter(name__iexact=name.strip()).exists():
        raise AlreadyDone(f"There is already a benefit “{name.strip()}”.")
    made = Benefit.objects.create(name=name.strip(), value=value, cost=cost, bears_name=bears_name)
    text = f"Benefit “{made}”: worth {value.dollars}, costs {cost.dollars}."
    record(by=by, action="benefit.add", subject=made.name[:60], text=text)
    return made


@transaction.atomic
def owe_benefit(*, by: Person, gift: Gift, benefit: Benefit) -> GiftBenefit:
    """Something is owed in return for a gift that was booked whole (it came with a platform's file).

    Its value leaves the gift. Refuses goods, restricted gifts and gifts that wait or went back, a benefit worth more
    than the gift, a second benefit.
    """
    require(by, "gift.record")
    hold_books()
    gift = fresh(gift)
    if hasattr(gift, "benefit"):
        raise AlreadyDone(f"{gift.code} has a benefit already: {gift.benefit.benefit}.")
    plain = gift.nature == GIFT and gift.kind != GOODS and gift.purpose_id == GENERAL and not gift.count_id
    if not plain or benefit.value > gift.amount:
        raise BadInput(f"“{benefit}” goes with a gift of money for general use of at least {benefit.value}.")
    not_gone(gift)
    draft = benefit_owed_entry(
        on=gift.received_on,
        code=gift.code,
        value=benefit.value,
        party=gift.supporter.code if gift.supporter else "",
        name=benefit.name,
    )
    entry = post(by=by, draft=draft)
    owed = GiftBenefit.objects.create(
        gift=gift,
        benefit=benefit,
        value=benefit.value,
        cost=benefit.cost,
        bears_name=benefit.bears_name,
        entry=entry,
    )
    text = f"{gift.code}: {benefit} worth {benefit.value.dollars} is owed in return."
    record(by=by, action="benefit.owe", subject=gift.code, text=text, data={"entry": entry.number})
    return owed


@transaction.atomic
def send_benefit(*, by: Person, owed: GiftBenefit, on: date, cost: Money | None = None) -> GiftBenefit:
    """The benefit went out: its value is earned, its cost (as it turned out, if told) is paid from the bank.

    Refuses one that was sent before, and one that ended because its gift went back.
    """
    require(by, "gift.record")
    hold_books()
    owed = GiftBenefit.objects.select_related("gift__supporter", "benefit").get(pk=owed.pk)
    if owed.sent_on:
        raise AlreadyDone(f"It was sent on {owed.sent_on}. Nothing was posted.")
    if owed.ended_on:
        raise NotReady(
            f"{owed.gift.code} went back on {owed.ended_on}, so {owed.benefit} is owed no more. Nothing was posted."
        )
    within(on, owed.gift.received_on)
    paid = owed.cost if cost is None else cost
    if paid.minor < 0:
        raise BadInput("The cost is zero or more.")
    draft = benefit_sent_entry(
        on=on,
        code=owed.gift.code,
        value=owed.value,
        cost=paid,
        party=owed.gift.supporter.code if owed.gift.supporter else "",
        name=owed.benefit.name,
    )
    entry = post(by=by, draft=draft)
    owed.sent_on, owed.sent_entry, owed.cost = on, entry, paid
    owed.save(update_fields=["sent_on", "sent_entry", "cost"])
    text = f"{owed.gift.code}: {owed.benefit} sent, cost {paid.dollars}."
    record(by=by, action="benefit.send", subject=owed.gift.code, text=text, data={"entry": entry.number})
    return owed
