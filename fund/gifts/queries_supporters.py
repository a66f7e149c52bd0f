from datetime import date
from typing import Any, NamedTuple

from django.db.models import (
    Count,
    DateField,
    Exists,
    F,
    Max,
    Min,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    Value,
)
from django.db.models.functions import Concat, TruncMonth

from fund.gifts.models import (
    Decline,
    Gift,
    HeldCheck,
    Loan,
    Pledge,
    Supporter,
    SupporterKey,
    SupporterMerge,
)
from fund.gifts.rules import PLATFORM
from fund.gifts.rules_pattern import ACTIVE, GRACE, LAPSED, MONTH, RETRY, RETRYING, Pattern, pattern_of
from fund.money import Money, MoneyField


def supporters() -> QuerySet[Supporter]:
    """All supporters with how many gifts they gave, what they came to gross, the latest day, and what their monthly
    pattern is made of (`first_paid`, `last_paid`, `paid_months`, `declined_on`).

    Left out are those merged into another, and those who only tried out a stolen card.
    """
    own = Gift.objects.filter(supporter=OuterRef("pk"))
    only_testing = Exists(own.filter(testing=True)) & ~Exists(own.filter(testing=False))
    declines = Decline.objects.filter(supporter=OuterRef("pk")).order_by("-on").values("on")[:1]
    paid = Q(gifts__kind=PLATFORM)
    return (
        Supporter.objects.filter(merged_into=None)
        .exclude(only_testing)
        .annotate(
            gift_count=Count("gifts"),
            given=Sum("gifts__amount"),
            latest=Max("gifts__received_on"),
            first_paid=Min("gifts__received_on", filter=paid),
            last_paid=Max("gifts__received_on", filter=paid),
            paid_months=Count(TruncMonth("gifts__received_on"), filter=paid, distinct=True),
            declined_on=Subquery(declines),
        )
    )


def pattern_now(supporter: Supporter, today: date) -> Pattern:
    """The pattern of a supporter that came from :func:`supporters`."""
    told: Any = supporter
    return pattern_of(told.first_paid, told.last_paid, told.paid_months, told.declined_on, today)


def with_pattern(rows: QuerySet[Any, Any], state: str, today: date) -> QuerySet[Any, Any]:
    """Those of :func:`supporters` whose pattern is in this state today; the same rule, asked of the database."""
    # Months between first and latest, counted from year and month as the rule does.
    span = (
        (F("last_paid__year") - F("first_paid__year")) * 12
        + F("last_paid__month")
        - F("first_paid__month")
        + 1
    )
    monthly = rows.alias(span=span).filter(paid_months__gte=2, span__lt=F("paid_months") * 2)
    active = Q(last_paid__gte=today - MONTH - GRACE)
    retried = Q(declined_on__gt=F("last_paid"), declined_on__gte=today - RETRY)
    wanted = {
        ACTIVE: active,
        RETRYING: ~active & retried,
        LAPSED: ~active & ~(retried & Q(declined_on__isnull=False)),
    }
    return monthly.filter(wanted[state])


def merges_of(supporter: Supporter) -> QuerySet[SupporterMerge]:
    return (
        SupporterMerge.objects.filter(Q(kept=supporter) | Q(gone=supporter))
        .select_related("kept", "gone", "by", "undone_by")
        .order_by("-pk")
    )


def look_alikes(supporter: Supporter) -> list[Supporter]:
    """Others with the same e-mail or the same name: perhaps one and the same, perhaps not."""
    same = Q(name__iexact=supporter.name)
    if supporter.email:
        same |= Q(email=supporter.email)
    found = Supporter.objects.filter(same, merged_into=None, erased_at=None).exclude(pk=supporter.pk)
    return list(found.order_by("code")[:6])


class Also(NamedTuple):
    """Something else of a supporter: an id at a platform, a held check, an open pledge, a loan, a match told to them."""

    what: str
    code: str
    amount: Money
    on: date | None


def also_of(supporter: Supporter) -> list[Also]:
    """All of that in one query, ordered by what it is."""
    keys = SupporterKey.objects.filter(supporter=supporter).annotate(
        label=Concat("platform__name", Value(": "), "key"), none=Value(0, output_field=MoneyField())
    )
    parts = [
        _also(Loan.objects.filter(lender=supporter), "loan", "code", "amount", "on"),
        _also(
            HeldCheck.objects.filter(supporter=supporter, gift=None, handed_back_on=None),
            "check",
            "code",
            "amount",
            "dated_on",
        ),
        _also(
            Pledge.objects.filter(supporter=supporter, ended_on=None), "pledge", "code", "amount", "due_on"
        ),
        _also(supporter.credited.all(), "match", "code", "amount", "received_on"),
        keys.annotate(what=Value("key"), day=Value(None, output_field=DateField()))
        .order_by()
        .values_list("what", "label", "none", "day"),
    ]
    first, *rest = parts
    return [Also(*row) for row in first.union(*rest).order_by("what", "code")]


def _also(rows: QuerySet[Any], what: str, *columns: str) -> QuerySet[Any, Any]:
    return rows.annotate(what=Value(what)).order_by().values_list("what", *columns)
