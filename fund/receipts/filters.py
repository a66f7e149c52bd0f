from typing import Any

import django_filters
from django.db.models import Q, QuerySet

from fund.access.models import Person
from fund.filters import BookFilterSet, DayFilter, MoneyFilter, WordsFilter
from fund.receipts.homes import TENDERS
from fund.receipts.models import CoreDeposit, Receipt, ReceiptLine, ReceiptPortion, ShelfLot
from fund.receipts.models_returns import Claim
from fund.receipts.queries_returns import open_claims


class ReceiptWordsFilter(WordsFilter):
    """Words of the head, or of any line of the receipt."""

    def filter(self, qs: QuerySet[Any], value: str | None) -> QuerySet[Any]:
        for word in (value or "").split()[:8]:
            lines = ReceiptLine.objects.filter(text__icontains=word).values("receipt")
            repairs = ReceiptPortion.objects.filter(cost_object=word.upper()).values("line__receipt")
            head = Q()
            for column in self.columns:
                head |= Q(**{f"{column}__icontains": word})
            qs = qs.filter(head | Q(pk__in=lines) | Q(pk__in=repairs))
        return qs


class ReceiptFilter(BookFilterSet):
    words = ReceiptWordsFilter(
        ["code", "supplier__name", "number", "note"], label="Store, part, number or repair"
    )
    state = django_filters.ChoiceFilter(choices=Receipt.STATES, label="State", empty_label="any")
    tender = django_filters.ChoiceFilter(
        choices=[(key, tender.label) for key, tender in TENDERS.items()], label="Paid with", empty_label="any"
    )
    buyer = django_filters.ModelChoiceFilter(
        queryset=Person.objects.order_by("first_name", "last_name"), label="Who paid", empty_label="anyone"
    )
    photo = django_filters.ChoiceFilter(
        choices=[("no", "without one"), ("yes", "with one")],
        label="Photo",
        empty_label="any",
        method="by_photo",
    )
    since = DayFilter(field_name="on", lookup_expr="gte", label="From")
    until = DayFilter(field_name="on", lookup_expr="lte", label="Until")
    amount = MoneyFilter(field_name="total", label="Total")

    def by_photo(self, qs: QuerySet[Receipt], name: str, value: str) -> QuerySet[Receipt]:
        return qs.filter(photo__isnull=value == "no")

    class Meta(BookFilterSet.Meta):
        model = Receipt
        fields: list[str] = []


class LotFilter(BookFilterSet):
    words = WordsFilter(["item", "code", "source"], label="Do we have this?")
    left = django_filters.ChoiceFilter(
        choices=[("all", "used-up lots too")], label="Show", empty_label="what is left", method="by_left"
    )

    @property
    def qs(self) -> QuerySet[ShelfLot]:
        rows: QuerySet[ShelfLot] = super().qs
        return rows if self.data.get("left") == "all" else rows.filter(left_quantity__gt=0)

    def by_left(self, qs: QuerySet[ShelfLot], name: str, value: str) -> QuerySet[ShelfLot]:
        return qs

    class Meta(BookFilterSet.Meta):
        model = ShelfLot
        fields: list[str] = []


class CoreFilter(BookFilterSet):
    words = WordsFilter(["item", "code", "store__name", "cost_object__code"], label="Part, store or repair")
    state = django_filters.ChoiceFilter(
        choices=[("ended", "ended"), ("all", "all")],
        label="Show",
        empty_label="still open",
        method="by_state",
    )

    @property
    def qs(self) -> QuerySet[CoreDeposit]:
        rows: QuerySet[CoreDeposit] = super().qs
        state = self.data.get("state") or ""
        return rows if state == "all" else rows.filter(returned__isnull=state != "ended")

    def by_state(self, qs: QuerySet[CoreDeposit], name: str, value: str) -> QuerySet[CoreDeposit]:
        return qs

    class Meta(BookFilterSet.Meta):
        model = CoreDeposit
        fields: list[str] = []


class ClaimFilter(BookFilterSet):
    words = WordsFilter(
        ["code", "text", "store__name", "receipt__code", "note"], label="Store, part or receipt"
    )
    state = django_filters.ChoiceFilter(
        choices=[("all", "ended ones too")], label="Show", empty_label="still open", method="by_state"
    )

    @property
    def qs(self) -> QuerySet[Claim]:
        rows: QuerySet[Claim] = super().qs
        return rows if self.data.get("state") == "all" else rows.filter(pk__in=open_claims().values("pk"))

    def by_state(self, qs: QuerySet[Claim], name: str, value: str) -> QuerySet[Claim]:
        return qs

    class Meta(BookFilterSet.Meta):
        model = Claim
        fields: list[str] = []
