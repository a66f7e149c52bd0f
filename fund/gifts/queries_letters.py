"""What a letter may say of a gift: whether it stands, what of it is a gift, what was given in return."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, QuerySet

from fund.gifts.models import Gift, GiftReturn, Supporter
from fund.gifts.rules import GENERAL, GOODS
from fund.gifts.rules_state import (
    CHARGED_BACK,
    IN_DISPUTE,
    PARTLY,
    REFUNDABLE,
    REFUNDED,
    RETURNED,
    STANDING,
    STATES,
    TESTED,
    state_of,
    why_no_letter,
)
from fund.gifts.rules_terms import WAITING
from fund.money import Money

__all__ = [
    "CHARGED_BACK",
    "IN_DISPUTE",
    "PARTLY",
    "REFUNDABLE",
    "REFUNDED",
    "RETURNED",
    "STANDING",
    "STATES",
    "TESTED",
    "LetterFacts",
    "facts_of",
    "gifts_of",
    "with_letter_links",
]


@dataclass(frozen=True, slots=True)
class LetterFacts:
    """One gift as a letter needs it; all money in minor units.

    ``state`` is one of ``STATES``. ``amount`` is what was given, ``returned`` what of it went back. ``deductible`` is
    what is left, less the value of the benefit in return; a letter that may ignore a token benefit (by its own dated
    limits) adds ``benefit_value`` again. Of goods (``goods`` true) a letter gives ``description`` and never the
    amount. ``why_not`` is empty when the gift belongs into letters, else the reason in a sentence.
    """

    gift: Gift
    code: str
    supporter: Supporter | None
    received_on: date
    state: str
    amount: Money
    returned: Money
    deductible: Money
    goods: bool
    description: str
    purpose: str
    benefit: str
    benefit_value: Money
    benefit_cost: Money
    benefit_bears_name: bool
    why_not: str

    @property
    def standing(self) -> Money:
        """What was given and did not go back."""
        return self.amount - self.returned


def with_letter_links(gifts: QuerySet[Gift]) -> QuerySet[Gift]:
    """Gifts with all that ``facts_of`` reads, in a fixed number of queries."""
    links = gifts.select_related("supporter", "purpose", "platform", "settlement", "benefit__benefit")
    return links.prefetch_related(Prefetch("returns", GiftReturn.objects.order_by("on", "pk")))


def with_letters(gifts: QuerySet[Gift]) -> QuerySet[Gift]:
    """Gifts with the letters that name them, void ones too, in one query more."""
    # The room of letters stands above this one, so its lines are reached from the gift.
    lines = Gift._meta.get_field("letter_lines").related_model._default_manager
    return gifts.prefetch_related(Prefetch("letter_lines", lines.select_related("letter__void")))


def facts_of(gift: Gift) -> LetterFacts:
    """The letter kind of one gift (fetch it through ``with_letter_links``)."""
    returns = [(back.kind, back.amount, back.outcome) for back in gift.returns.all()]
    settled = getattr(gift, "settlement", None)
    state = state_of(gift.amount, gift.nature in WAITING and settled is None, gift.testing, returns)
    benefit = getattr(gift, "benefit", None)
    if benefit and benefit.ended_on:
        benefit = None  # nothing was given in return
    value = benefit.value if benefit else Money.zero
    gone = sum((amount for _, amount, _ in returns), Money.zero)
    goods = gift.kind == GOODS
    return LetterFacts(
        gift=gift,
        code=gift.code,
        supporter=gift.supporter,
        received_on=gift.received_on,
        state=state,
        amount=gift.amount,
        returned=gone,
        deductible=max(gift.amount - gone - value, Money.zero),
        goods=goods,
        description=gift.note if goods else "",
        purpose="" if gift.purpose_id == GENERAL else gift.purpose.name,
        benefit=benefit.benefit.name if benefit else "",
        benefit_value=value,
        benefit_cost=benefit.cost if benefit else Money.zero,
        benefit_bears_name=bool(benefit and benefit.bears_name),
        why_not=why_no_letter(state, gift.nature, gift.supporter is not None),
    )


def gifts_of(
    supporter: Supporter, *, since: date | None = None, until: date | None = None
) -> list[LetterFacts]:
    """Every gift of a supporter with its letter kind, oldest first, by the giver's day. A merged one holds none."""
    rows = Gift.objects.filter(supporter=supporter)
    if since:
        rows = rows.filter(received_on__gte=since)
    if until:
        rows = rows.filter(received_on__lte=until)
    return all_facts(rows)


def all_facts(rows: QuerySet[Gift]) -> list[LetterFacts]:
    """The letter kind of many gifts (a year's, say), oldest first, in a fixed number of queries."""
    found: Iterable[Gift] = with_letter_links(rows).order_by("received_on", "pk")
    return [facts_of(gift) for gift in found]
