"""Receipts that lie here as drafts, were bought already, and pass what was approved."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Sum

from fund.commitments.queries import allowances
from fund.commitments.rules import Allowance, Overrun
from fund.money import Money, total
from fund.receipts.homes import HOMES
from fund.receipts.models import Receipt, ReceiptPortion

COSTS = [name for name, home in HOMES.items() if home.cost]


@dataclass(frozen=True, slots=True)
class Passing:
    """A draft with what it would run over the limits of its repairs."""

    receipt: Receipt
    rows: tuple[Overrun, ...]

    @property
    def over(self) -> Money:
        return total(row.over for row in self.rows)


def drafts_that_pass() -> list[Passing]:
    """Drafts over the limit of a repair that something is approved for, oldest first. Three queries."""
    found = ReceiptPortion.objects.filter(
        line__receipt__state="draft", home__in=COSTS, cost_object__isnull=False
    )
    costs: dict[int, dict[str, Money]] = defaultdict(dict)
    for receipt, code, amount in (
        found.order_by().values_list("line__receipt", "cost_object").annotate(sum=Sum("amount"))
    ):
        costs[receipt][code] = amount
    granted = allowances({code for row in costs.values() for code in row})
    passing: dict[int, tuple[Overrun, ...]] = {}
    for receipt, row in costs.items():
        wanted = [Overrun(code, cost, granted.get(code, Allowance())) for code, cost in sorted(row.items())]
        if over := tuple(one for one in wanted if one.over > Money.zero and one.allowance.promised):
            passing[receipt] = over
    drafts = Receipt.objects.filter(pk__in=passing).select_related("supplier", "buyer").order_by("pk")
    return [Passing(draft, passing[draft.pk]) for draft in drafts]
