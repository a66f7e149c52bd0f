"""What a repair was bought, line by line, from the posted receipts and the shelf."""

from dataclasses import dataclass

from fund.ledger import chart
from fund.ledger.models import Line
from fund.money import Money, total
from fund.receipts.homes import HOMES
from fund.receipts.models import CoreDeposit, Receipt, ReceiptPortion, ShelfIssue
from fund.receipts.quantities import quantity_words
from jobs.repairs.models import RepairOrder

_COST_HOMES = [key for key, home in HOMES.items() if home.cost]


@dataclass(frozen=True)
class Part:
    """One thing bought, at what the fund paid for it with its share of the tax."""

    text: str
    condition: str
    cost: Money


@dataclass(frozen=True)
class Deposit:
    """Money held by a store until the old unit is back, and where that stands."""

    text: str
    amount: Money
    stands: str


def parts_of(repair: RepairOrder, cost: Money) -> list[Part]:
    """Everything that makes up the cash cost, in the order it was bought.

    What the books hold beyond receipts and shelf (returns, lost cores, corrections) is one more row, so that
    the rows always add up to ``cost``.
    """
    rows = [
        Part(_worded(portion.line.text, portion), portion.line.condition, portion.amount)
        for portion in ReceiptPortion.objects.filter(
            cost_object=repair.cost_object_id, home__in=_COST_HOMES, line__receipt__state="posted"
        )
        .select_related("line")
        .order_by("line__receipt__on", "line__receipt__code", "line__ordinal", "id")
    ]
    issues = ShelfIssue.objects.filter(cost_object=repair.cost_object_id).select_related("lot").order_by("id")
    rows += [
        Part(issue.words, "" if issue.lot.condition == "-" else issue.lot.condition, issue.amount)
        for issue in issues
    ]
    forfeited = _on(repair, chart.CORES_LOST)
    if forfeited:
        rows.append(Part("Core deposits that did not come back", "", forfeited))
    rest = cost - total(part.cost for part in rows)
    if rest:
        rows.append(Part("Returns and corrections", "", rest))
    return rows


def _worded(text: str, portion: ReceiptPortion) -> str:
    """The line as it was entered, with how many; or how much of it, where the rest went elsewhere."""
    quantity = quantity_words(portion.quantity, portion.line.unit)
    if portion.quantity != portion.line.quantity:
        return f"{text}: {quantity} of it"
    return text if quantity == "1" or quantity in text else f"{text}, {quantity}"


def _on(repair: RepairOrder, account: str) -> Money:
    lines = Line.objects.filter(cost_object=repair.cost_object_id, account=account)
    return total(lines.values_list("amount", flat=True))


def deposits_of(repair: RepairOrder) -> list[Deposit]:
    """Core deposits paid for a repair, returned or not; they are never part of its cost."""
    rows = (
        CoreDeposit.objects.filter(cost_object=repair.cost_object_id, portion__line__receipt__state="posted")
        .select_related("returned")
        .order_by("code")
    )
    return [Deposit(core.item, core.amount, _stands(core)) for core in rows]


def _stands(core: CoreDeposit) -> str:
    if not hasattr(core, "returned"):
        return "the old part still goes back to the store"
    back = core.returned.amount_back
    if back == core.amount:
        return "returned in full"
    return f"{back.dollars} returned" if back else "not returned by the store"


def open_drafts(repair: RepairOrder) -> list[str]:
    """Codes of receipts that name this repair and are not posted yet."""
    drafts = Receipt.objects.filter(state="draft", lines__portions__cost_object=repair.cost_object_id)
    return list(drafts.distinct().order_by("code").values_list("code", flat=True))
