import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Min, Prefetch, Q, QuerySet, Sum
from django.db.models.functions import Lower

from fund import clock
from fund.attachments.models import Attachment
from fund.attachments.queries import bits_apart
from fund.commitments.models import CommitmentMove
from fund.commitments.queries import open_commitments
from fund.ledger.chart import ADVANCES, STORE_CREDIT
from fund.ledger.models import CostObject, Line
from fund.money import Money
from fund.receipts.models import (
    CoreDeposit,
    Receipt,
    ReceiptLine,
    ReceiptPortion,
    ShelfLot,
    Supplier,
)
from fund.receipts.rules import Share
from fund.receipts.rules_alike import Print, may_be_one_number, may_be_one_paper
from fund.receipts.rules_counter import quarter_of
from fund.receipts.rules_rate import core_question
from fund.receipts.rules_shelf import WARN_AT

UNSEEN = 1024  # bits; a photo without a hash is named after all others
_LATELY = timedelta(days=60)
_SMALL_WORDS = frozenset(("and", "for", "the", "with", "new", "used", "set", "kit", "quarts", "quart"))


def shares_of(receipt: Receipt) -> list[Share]:
    """The portions of a receipt as its posting needs them, in the order of the paper."""
    rows = ReceiptPortion.objects.filter(line__receipt=receipt).select_related("line")
    return [Share(row.home, row.cost_object_id, row.quantity, row.amount, row.line.text) for row in rows]


def same_paper(receipt: Receipt) -> list[Receipt]:
    """Other receipts, drafts too, that could be the same paper."""
    return papers_like(receipt.supplier.name, receipt.number, receipt.on, receipt.total, receipt.pk)


def papers_like(store: str, number: str, on: date, total: Money, own: int | None = None) -> list[Receipt]:
    """Receipts, drafts too, with the same store, date and total whose number does not speak against their being one paper.

    One query; ``own`` is the receipt's own key, which is left out.
    """
    same = Receipt.objects.filter(supplier__name__iexact=" ".join(store.split()), on=on, total=total)
    same = same.exclude(state="reversed").select_related("supplier", "entered_by")
    return [row for row in same if row.pk != own and may_be_one_number(row.number, number)]


def printed(receipt: Receipt) -> Print:
    return Print(receipt.supplier.name, receipt.number, receipt.total, receipt.on)


def look_alikes(photo: Attachment, paper: Print, own: int | None = None) -> list[str]:
    """Codes of other receipts, drafts too, whose photo may show the same paper (:mod:`fund.receipts.rules_alike`), the
    most alike first. One query; none before the store and a number or total are known. ``own`` is the receipt's own key.
    """
    if not paper.plain_store or not (paper.number.strip() or paper.total):
        return []
    said = Q(number__iexact=paper.number.strip(), number__gt="") | Q(total=paper.total)
    others = Receipt.objects.filter(said, supplier__name__iexact=" ".join(paper.store.split()))
    others = others.exclude(state="reversed").exclude(photo=None).exclude(photo=photo)
    if own:
        others = others.exclude(pk=own)
    found: list[tuple[int, str]] = []
    for code, name, number, total, on, likeness in others.values_list(
        "code", "supplier__name", "number", "total", "on", "photo__likeness"
    ):
        bits = bits_apart(photo.likeness, likeness)
        if may_be_one_paper(paper, Print(name, number, total, on), bits):
            found.append((UNSEEN if bits is None else bits, code))
    return [code for _, code in sorted(found)]


def same_photo(receipt: Receipt) -> list[str]:
    """Codes of the other receipts, drafts too, whose photo is the very same upload. One taken back has given its photo up to
    the one entered anew, and what was uploaded and never kept with a receipt is no record.
    """
    if receipt.photo is None:
        return []
    same = Receipt.objects.filter(photo__upload_sha256=receipt.photo.upload_sha256).exclude(pk=receipt.pk)
    return list(same.exclude(state="reversed").order_by("code").values_list("code", flat=True))


def asks_of(receipt: Receipt) -> str:
    """What is to be asked about the tax on a draft's core deposits (``rules_rate.core_question``). Two queries."""
    rows = receipt.lines.prefetch_related("portions")
    lines = [
        (row.amount, any(part.home == "core" for part in row.portions.all()), row.taxable) for row in rows
    ]
    return core_question(lines, receipt.tax, receipt.freight, receipt.discount)


def missing_in_quarter(receipt: Receipt) -> int:
    """How many purchases without a receipt its buyer has had booked in the same calendar quarter."""
    first, after = quarter_of(receipt.on)
    lost = Receipt.objects.filter(
        missing=True, state="posted", buyer=receipt.buyer, on__gte=first, on__lt=after
    )
    return lost.exclude(pk=receipt.pk).count()


def money_at_store(store: str) -> Money:
    """Store credit the fund holds with a supplier."""
    lines = Line.objects.filter(account=STORE_CREDIT, party=store[:60])
    return lines.aggregate(sum=Sum("amount"))["sum"] or Money.zero


def advance_left(username: str) -> Money:
    """What a crew member still holds of money given in advance."""
    lines = Line.objects.filter(account=ADVANCES, party=username)
    return lines.aggregate(sum=Sum("amount"))["sum"] or Money.zero


def receipts() -> QuerySet[Receipt]:
    """The list of receipts, newest first, with what each row shows."""
    return Receipt.objects.select_related("supplier", "buyer", "photo")


def receipt_whole(code: str) -> QuerySet[Receipt]:
    """One receipt with its lines, portions, cores and lots."""
    portions = (
        ReceiptPortion.objects.select_related("cost_object", "core", "lot")
        .prefetch_related("returns")
        .order_by("id")
    )
    lines = ReceiptLine.objects.prefetch_related(Prefetch("portions", portions))
    return (
        Receipt.objects.filter(code=code)
        .select_related(
            "supplier", "buyer", "entered_by", "photo", "entry", "bill_payment", "approved_by", "witness"
        )
        .select_related("repayment_item__repayment")
        .prefetch_related(Prefetch("lines", lines))
    )


@dataclass(frozen=True, slots=True)
class RepairChoice:
    """A repair that can be bought for; ``open`` is what is still promised to it."""

    code: str
    label: str
    open: Money


def repairs_to_buy_for() -> list[RepairChoice]:
    """Repairs with money still promised, oldest first, then those bought for in the last 60 days."""
    promised = open_commitments()
    choices = [RepairChoice(row.cost_object.code, row.cost_object.label, row.amount) for row in promised]
    known = {choice.code for choice in choices}
    moves = CommitmentMove.objects.filter(on__gte=clock.today() - _LATELY).exclude(cost_object__in=known)
    lately = CostObject.objects.filter(pk__in=moves.values("cost_object")).order_by("-code")
    return choices + [RepairChoice(row.code, row.label, Money.zero) for row in lately]


def cores() -> QuerySet[CoreDeposit]:
    """All core deposits with their store, repair, receipt and ending."""
    return CoreDeposit.objects.select_related(
        "store", "cost_object", "returned__bill", "late_refund", "portion__line__receipt"
    )


@dataclass(frozen=True, slots=True)
class StoreTrip:
    """What one store still holds: the cores to bring back there."""

    store: Supplier
    cores: list[CoreDeposit]
    amount: Money


def return_run() -> list[StoreTrip]:
    """Open cores by store, the most urgent store first."""
    by_store: dict[Supplier, list[CoreDeposit]] = defaultdict(list)
    for core in cores().filter(returned__isnull=True):
        by_store[core.store].append(core)
    return [
        StoreTrip(store, rows, Money(sum(row.amount.minor for row in rows)))
        for store, rows in by_store.items()
    ]


def items_on_shelf() -> list[tuple[str, str, int]]:
    """What lies on the shelf, all lots of an item in a unit together: item, unit, thousandths left. One query."""
    rows = ShelfLot.objects.filter(left_quantity__gt=0).order_by().annotate(low=Lower("item"))
    sums = rows.values("low", "unit").annotate(name=Min("item"), left=Sum("left_quantity"))
    return sorted(sums.values_list("name", "unit", "left"))


def lots(words: str = "") -> QuerySet[ShelfLot]:
    """Lots of the shelf by item, oldest first. ``words`` answers "do we have this?"."""
    rows = ShelfLot.objects.order_by("item", "on", "pk")
    for word in words.split():
        rows = rows.filter(Q(item__icontains=word) | Q(code__iexact=word))
    return rows


def lots_to_count(words: str = "", after: str = "") -> QuerySet[ShelfLot]:
    """Lots with something left in the order of the shelf, by item; those behind the lot with the code ``after``."""
    rows = lots(words).filter(left_quantity__gt=0)
    last = ShelfLot.objects.filter(code=after).first() if after else None
    if last is None:
        return rows
    same = Q(item=last.item)
    behind = Q(on__gt=last.on) | Q(on=last.on, pk__gt=last.pk)
    return rows.filter(Q(item__gt=last.item) | (same & behind))


def words_looked_for(name: str) -> list[str]:
    """The words by which a name is looked for on the shelf: at most four, none of them too small to tell anything."""
    words = re.findall(r"[^\W\d_]{3,}", name)
    return [word for word in words if word.lower() not in _SMALL_WORDS][:4]


def on_shelf_like(names: Sequence[str], most: int = 6) -> list[ShelfLot]:
    """Lots with something left whose item is named like one of ``names``, oldest first. One query, or none."""
    wanted = Q()
    for name in names:
        if words := words_looked_for(name):
            wanted |= Q(*(Q(item__icontains=word) for word in words))
    if not wanted:
        return []
    return list(ShelfLot.objects.filter(wanted, left_quantity__gt=0).order_by("item", "on", "pk")[:most])


def core_for(item: str, store: str, receipt: str = "") -> CoreDeposit | None:
    """The open core of the receipt presented (its code or the store's number), else the oldest of that part there."""
    found = cores().filter(
        returned__isnull=True, store__name__iexact=store.strip(), item__iexact=item.strip()
    )
    if receipt:
        of = "portion__line__receipt"
        found = found.filter(Q(**{f"{of}__code__iexact": receipt}) | Q(**{f"{of}__number__iexact": receipt}))
    return found.order_by("on", "pk").first()


def cores_out() -> list[tuple[str, str, int]]:
    """What a counter can be handed: store, part and how many are out, by store. One query."""
    rows = CoreDeposit.objects.filter(returned__isnull=True).order_by().annotate(low=Lower("item"))
    sums = rows.values("store__name", "low").annotate(name=Min("item"), many=Count("pk"))
    return sorted(sums.values_list("store__name", "name", "many"))


def cores_that_warn() -> QuerySet[CoreDeposit]:
    """Open cores with 14 days or less left, or late: what Today counts."""
    return cores().filter(returned__isnull=True, due_on__lte=clock.today() + timedelta(days=WARN_AT[0]))
