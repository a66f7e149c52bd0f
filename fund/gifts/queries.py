from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Max, OuterRef, Prefetch, Q, QuerySet, Subquery, Sum

from fund.gifts.models import (
    CashCount,
    Deposit,
    Gift,
    GiftReturn,
    Payout,
    Platform,
    PlatformFee,
    PlatformHold,
    Supporter,
)
from fund.gifts.queries_letters import LetterFacts, all_facts, facts_of, gifts_of, with_letter_links
from fund.gifts.queries_supporters import supporters
from fund.gifts.rules import CASH, CHECK, GENERAL
from fund.ledger.queries import balances
from fund.ledger.rules import Pots
from fund.money import Money, total

__all__ = ["LetterFacts", "all_facts", "facts_of", "gifts_of", "supporters"]


def gifts() -> QuerySet[Gift]:
    return with_letter_links(Gift.objects.all())


def gift_by_code(code: str) -> Gift | None:
    links = (
        "payout",
        "deposit",
        "count",
        "entry",
        "foreign",
        "hand_over",
        "held_by",
        "payable_to",
        "cost_object",
    )
    return with_letter_links(Gift.objects.select_related(*links)).filter(code=code).first()


@dataclass(frozen=True, slots=True)
class Giving:
    """What one supporter gave, gross, and what of it went back."""

    given: Money
    returned: Money
    gifts: int


def with_returned(supporters: QuerySet[Supporter]) -> QuerySet[Supporter]:
    """Supporters with ``back``: what of their gifts went back, or None."""
    gone = GiftReturn.objects.filter(gift__supporter=OuterRef("pk")).order_by().values("gift__supporter")
    return supporters.annotate(back=Subquery(gone.annotate(sum=Sum("amount")).values("sum")))


def giving_of(supporter: Supporter) -> Giving:
    """Of a supporter that came from :func:`supporters` and :func:`with_returned`, or of one merged away, who holds nothing."""
    back = getattr(supporter, "back", None)
    given, gifts = getattr(supporter, "given", None), getattr(supporter, "gift_count", 0)
    return Giving(given or Money.zero, back or Money.zero, gifts)


def find_supporter(text: str) -> list[Supporter]:
    """Supporters whose code, e-mail or whole name is this text."""
    text = text.strip()
    return list(
        Supporter.objects.filter(
            Q(code__iexact=text) | Q(email__iexact=text) | Q(name__iexact=text),
            merged_into=None,
            erased_at=None,
        )[:6]
    )


def payouts() -> QuerySet[Payout]:
    """All payouts with the number of gifts in each; fees of every kind are the page's to add."""
    return Payout.objects.select_related("platform").annotate(gift_count=Count("gifts"))


def platforms_with_holds() -> list[Platform]:
    """Platforms, each with `open_holds`: the payout it holds for review, or nothing."""
    holds = Prefetch("holds", PlatformHold.objects.filter(ended_on=None), to_attr="open_holds")
    return list(Platform.objects.prefetch_related(holds))


@dataclass(frozen=True, slots=True)
class PayoutStory:
    """One payout explained: these gifts, less these fees, less what went back, is this bank line."""

    payout: Payout
    gift_count: int
    by_purpose: list[tuple[str, int, Money]]
    returns: list[GiftReturn]
    own_fees: list[PlatformFee]

    @property
    def fees(self) -> Money:
        return self.payout.platform_fee + self.payout.processing_fee + self.payout.dispute_fee


def payout_story(payout: Payout) -> PayoutStory:
    rows = Gift.objects.filter(payout=payout).order_by("purpose__restricted", "purpose__name")
    purposes = rows.values_list("purpose__name").annotate(many=Count("pk"), sum=Sum("amount"))
    by_purpose = [(name, many, amount) for name, many, amount in purposes]
    return PayoutStory(
        payout=payout,
        gift_count=sum(many for _, many, _ in by_purpose),
        by_purpose=by_purpose,
        returns=list(GiftReturn.objects.filter(payout=payout).select_related("gift__supporter")),
        own_fees=list(PlatformFee.objects.filter(payout=payout)),
    )


def counts() -> QuerySet[CashCount]:
    return CashCount.objects.select_related("counted_by", "second_by", "deposit")


@dataclass(frozen=True, slots=True)
class Unbanked:
    """Cash or a check that is booked and not yet in the bank; `age` in days."""

    code: str
    what: str
    on: date
    amount: Money
    purpose: str
    age: int
    count: CashCount | None = None
    gift: Gift | None = None


def unbanked(today: date) -> list[Unbanked]:
    """All that waits undeposited, oldest first."""
    waiting = [
        Unbanked(c.code, f"Cash counted: {c.place}", c.on, c.total, "General", (today - c.on).days, count=c)
        for c in CashCount.objects.filter(deposit=None, void_on=None)
    ]
    checks = Gift.objects.filter(kind__in=(CASH, CHECK), deposit=None, count=None, returns=None)
    for gift in checks.select_related("supporter", "purpose"):
        who = gift.supporter.name if gift.supporter else "someone unnamed"
        what = f"Check {gift.check_number} of {who}" if gift.kind == CHECK else f"Cash of {who}"
        age = (today - gift.received_on).days
        waiting.append(
            Unbanked(gift.code, what, gift.received_on, gift.amount, gift.purpose.name, age, gift=gift)
        )
    return sorted(waiting, key=lambda one: (one.on, one.code))


@dataclass(frozen=True, slots=True)
class Clearing:
    """What a platform still holds, by purpose and in all, and the day of its last payout."""

    platform: Platform
    balance: Money
    restricted: Money
    last_payout: date | None


def clearing(pots: Pots | None = None) -> list[Clearing]:
    """What each platform holds; `pots` are balances already at hand."""
    pots = balances() if pots is None else pots
    last = dict(Payout.objects.order_by().values_list("platform_id").annotate(last=Max("paid_on")))
    found = []
    for platform in Platform.objects.all():
        mine = {pot: amount for (account, pot), amount in pots.items() if account == platform.account_id}
        bound = total(amount for pot, amount in mine.items() if pot != GENERAL)
        found.append(Clearing(platform, total(mine.values()), bound, last.get(platform.code)))
    return found


def deposit_lines(deposit: Deposit) -> Iterable[tuple[str, str, date, Money]]:
    """What a deposit is the sum of: code, words, day, amount."""
    for count in CashCount.objects.filter(deposit=deposit):
        yield count.code, f"Cash counted: {count.place}", count.on, count.total
    for gift in Gift.objects.filter(deposit=deposit).select_related("supporter"):
        who = gift.supporter.name if gift.supporter else "someone unnamed"
        yield gift.code, f"{gift.get_kind_display().capitalize()} of {who}", gift.received_on, gift.amount
