"""What is told of a gift entered by hand, and whether it may be booked so."""

from dataclasses import dataclass
from datetime import date

from fund import clock
from fund.access.models import Person
from fund.gifts.models import Benefit, Gift, Platform, Supporter
from fund.gifts.rules import (
    CARD,
    CASH,
    CHECK,
    CLAIM,
    FORGIVEN,
    GENERAL,
    GIFT_KINDS,
    GOODS,
    GOODS_ACCOUNTS,
    PLATFORM,
    TRANSFER,
    VIA_CREW,
    gift_kind,
)
from fund.gifts.rules_terms import (
    CONDITIONAL,
    EARMARKED,
    GIFT,
    NATURES,
    SHARE,
    TIP,
    UNIDENTIFIED,
    UNNAMED,
    WAITING,
)
from fund.ledger import chart
from fund.ledger.models import CostObject, Purpose
from fund.ledger.queries import first_month, first_possible_day
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotReady


@dataclass(frozen=True)
class Charge:
    """How a gift came through a platform: its id there and what the platform kept (zero or more)."""

    platform: Platform
    ref: str
    platform_fee: Money = Money.zero
    processing_fee: Money = Money.zero


@dataclass(frozen=True)
class GivenPart:
    """A part given for the shelf: its name there, the unit, and how much in thousandths of the unit."""

    item: str
    unit: str
    quantity: int


@dataclass(frozen=True)
class Hand:
    """All that is told of one gift; see :func:`fund.gifts.actions.record_gift`."""

    kind: str
    received_on: date
    amount: Money
    supporter: Supporter | None
    purpose: str
    check_number: str
    charge: Charge | None
    goods_account: str
    part: GivenPart | None
    note: str
    nature: str
    terms: str
    arrived_on: date | None
    payable_to: Person | None
    endorsed: bool
    held_by: Person | None
    kept_fee: Money
    benefit: Benefit | None
    cost_object: CostObject | None


def check_hand(told: Hand) -> Purpose:
    """The purpose of the gift, if all of it may be booked.

    Refuses: nothing or less given (only goods for the shelf may be worth nothing), a day after today (a post-dated
    check is held) or more than a year before the books begin, a check without a number or booked before, or made out to
    a crew member and not endorsed over, anonymous cash (two people count it), a charge booked before, goods with no
    description, terms without words.
    """
    _check_gift(told)
    pot = Purpose.objects.filter(code=told.purpose).first()
    if pot is None:
        raise BadInput(
            f"There is no purpose “{told.purpose}” in the books. Add it first, in the giver's own words."
        )
    if told.charge:
        _check_charge(told.kind, told.charge)
    if told.kind == CHECK:
        _check_check(told)
    if told.kind == GOODS or told.part:
        _check_goods(told)
    if told.nature != GIFT:
        _check_nature(told)
    _check_extras(told, pot)
    return pot


def _check_gift(told: Hand) -> None:
    for word, known in ((told.kind, GIFT_KINDS), (told.nature, NATURES)):
        if word not in known:
            raise BadInput(f"“{word}” is not a way to give.")
    if told.kind in (FORGIVEN, CLAIM):
        raise BadInput(
            "What the fund owed is given up where it is written down, under Loans or the crew's claims."
        )
    if told.amount.minor < 0 or (not told.amount and not (told.kind == GOODS and told.part)):
        raise BadInput(f"A gift is more than zero, not {told.amount}.")
    _check_day(told.received_on)
    if told.supporter is not None and told.supporter.merged_into_id:
        raise BadInput(f"{told.supporter.code} was merged into another supporter. Choose that one.")
    if told.supporter is None and told.kind == CASH and told.nature not in (SHARE, TIP):
        raise BadInput("Cash without a name is counted by two people: use the cash count.")
    if told.supporter is None and told.kind not in (GOODS, PLATFORM, CARD) and told.nature not in UNNAMED:
        raise BadInput("Say who gave it. Someone who wants no name in public can be marked so.")
    if (told.kind in (PLATFORM, CARD)) != (told.charge is not None):
        raise BadInput(
            "A platform or card gift, and only such a gift, names its platform and transaction id."
        )


def _check_day(on: date) -> None:
    if on > clock.today():
        raise BadInput(f"{on} is after today. Hold a post-dated check until its date.")
    refuse_long_ago(on)


def refuse_long_ago(on: date) -> None:
    """A day that no gift of these books can have: the year was typed wrong."""
    earliest = first_possible_day()
    if on < earliest:
        why = "lies more than a year before these books begin" if first_month() else "is long ago"
        raise BadInput(f"{on} {why}; a gift is dated {earliest} or later. Look at the year once more.")


def _check_charge(kind: str, charge: Charge) -> None:
    if gift_kind(charge.platform.kind) != kind:
        raise BadInput(f"{charge.platform.name} does not take gifts by {GIFT_KINDS[kind]}.")
    if not charge.ref.strip() or charge.platform_fee.minor < 0 or charge.processing_fee.minor < 0:
        raise BadInput("Give the platform's transaction id, and fees of zero or more.")
    booked = Gift.objects.filter(platform=charge.platform, platform_ref=charge.ref).first()
    if booked:
        raise AlreadyDone(f"{charge.platform.name} {charge.ref} is already booked as {booked.code}.")


def _check_goods(told: Hand) -> None:
    if told.kind != GOODS or not told.note or told.goods_account not in GOODS_ACCOUNTS:
        raise BadInput("Say what was given and where it went: supplies, tools or the shelf.")
    if (told.goods_account == chart.SHELF) != (told.part is not None):
        raise BadInput(
            "A part for the shelf, and only such a gift, says its name there, the unit and how many."
        )


def _check_check(told: Hand) -> None:
    if not told.check_number:
        raise BadInput("Write the number of the check.")
    if told.arrived_on and not told.received_on <= told.arrived_on <= clock.today():
        raise BadInput("The mail was opened between the postmark and today.")
    if told.payable_to and not told.endorsed:
        raise NotReady(
            f"The check is made out to {told.payable_to.label}. Ask the giver for one made out to the fund, or have it"
            " endorsed over to the fund and keep a copy of both sides."
        )
    # Under the books lock. No unique constraint: two supporters who are one may each have the check until they are merged.
    twin = Gift.objects.filter(
        kind=CHECK, supporter=told.supporter, check_number=told.check_number, amount=told.amount
    ).first()
    if twin:
        raise AlreadyDone(
            f"Check {told.check_number} over {told.amount} is already booked as {twin.code} of {twin.received_on}."
        )


_TERMS = {
    CONDITIONAL: "Write the condition in the giver's words.",
    EARMARKED: "Write for whom the giver means it, in the giver's words.",
    UNIDENTIFIED: "Write what the bank line says, so that the giver can be found.",
    SHARE: "Write which household pays its share: code or alias, never a name.",
    TIP: "Write who of the crew handed it in.",
}


def _check_nature(told: Hand) -> None:
    if not told.terms:
        raise BadInput(_TERMS[told.nature])
    if told.kind == GOODS or told.purpose != GENERAL or told.benefit:
        raise BadInput(f"A {NATURES[told.nature]} is money for general use, with nothing owed in return.")
    if told.nature == UNIDENTIFIED and (told.kind != TRANSFER or told.supporter):
        raise BadInput("A deposit from nobody known is a transfer without a supporter.")
    if told.nature in WAITING and told.kind == VIA_CREW:
        raise BadInput("Money that may have to go back is never left on somebody's own account.")


def _check_extras(told: Hand, pot: Purpose) -> None:
    if (told.kind == VIA_CREW) != (told.held_by is not None):
        raise BadInput("Say whose own account the gift came to; only such a gift names one.")
    if told.payable_to and told.kind != CHECK:
        raise BadInput("Only a check can be made out to somebody.")
    if told.kept_fee.minor < 0 or (told.kept_fee and told.kind != TRANSFER) or told.kept_fee > told.amount:
        raise BadInput(
            "A charge kept by the sender's service belongs to a transfer and is less than the gift."
        )
    if told.cost_object and told.nature != SHARE:
        raise BadInput("Only a household's share of its own repair names a repair.")
    if told.benefit and (pot.restricted or told.kind == GOODS or told.benefit.value > told.amount):
        raise BadInput(
            f"“{told.benefit}” is worth {told.benefit.value}: it goes with a gift of money for general use of at least that."
        )
