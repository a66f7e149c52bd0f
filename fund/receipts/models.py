from django.conf import settings
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from fund.attachments.models import Attachment
from fund.ledger.models import CostObject, Entry
from fund.money import MoneyField
from fund.receipts.homes import HOMES, TENDERS
from fund.receipts.quantities import CONDITIONS, number_words, quantity_words


class Supplier(models.Model):
    """A store, counter or outside shop the fund buys from."""

    name = models.CharField(max_length=60)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(Lower("name"), name="supplier_name_once")]

    def __str__(self) -> str:
        return self.name


class BillPayment(models.Model):
    """Money sent to a supplier for named bills, each paid whole."""

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="payments")
    amount = MoneyField()
    on = models.DateField()
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="+")
    paid_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")


class Receipt(models.Model):
    """One paper from a counter. A draft may change; a posted one is in the books and stays.

    ``total`` and ``tax`` as printed; ``owed`` is what the tender's own account was credited on posting: the
    total without personal things when somebody's own money was used, else the total.
    """

    STATES = [("draft", "draft"), ("posted", "posted"), ("reversed", "taken back")]

    code = models.CharField(max_length=12, unique=True)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="receipts")
    number = models.CharField(max_length=40, blank=True)
    # The number taken apart when it is written: which numbers follow one another is then asked of the database.
    series = models.CharField(max_length=40, blank=True)
    serial = models.BigIntegerField(null=True)
    on = models.DateField(db_index=True)
    at_time = models.TimeField(null=True, blank=True)
    total = MoneyField()
    tax = MoneyField(default=0)
    owed = MoneyField(default=0)
    tender = models.CharField(max_length=16, choices=[(key, tender.label) for key, tender in TENDERS.items()])
    buyer = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="receipts")
    card_last4 = models.CharField(max_length=4, blank=True)
    state = models.CharField(max_length=8, choices=STATES, default="draft")
    entry = models.OneToOneField(Entry, null=True, on_delete=models.PROTECT, related_name="+")
    bill_payment = models.ForeignKey(
        BillPayment, null=True, on_delete=models.PROTECT, related_name="receipts"
    )
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()
    photo = models.ForeignKey(Attachment, null=True, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=300, blank=True)
    duplicate_reason = models.CharField(max_length=200, blank=True)
    late_reason = models.CharField(max_length=200, blank=True)
    # Spread over the lines by value, like the tax: shipping added, a discount on the whole paper taken off.
    freight = MoneyField(default=0)
    discount = MoneyField(default=0)
    # What of the total was paid with credit at the store; the tender paid the rest.
    credit_used = MoneyField(default=0)
    missing = models.BooleanField(default=False)
    missing_how = models.CharField(max_length=300, blank=True)
    approved_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    witness = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["-on", "-code"]
        indexes = [
            models.Index(fields=["supplier", "on", "total"], name="receipt_same_paper"),
            models.Index(fields=["supplier", "series", "serial"], name="receipt_serial"),
            models.Index(fields=["tender", "state", "buyer"], name="receipt_owed"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(total__gt=0, tax__gte=0, freight__gte=0, discount__gte=0, credit_used__gte=0),
                name="receipt_amounts_make_sense",
            ),
            models.CheckConstraint(
                condition=Q(state="draft", entry__isnull=True) | (~Q(state="draft") & Q(entry__isnull=False)),
                name="receipt_posted_has_entry",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class ReceiptLine(models.Model):
    """One line as printed, before tax; ``quantity`` in thousandths of ``unit``."""

    receipt = models.ForeignKey(Receipt, on_delete=models.CASCADE, related_name="lines")
    ordinal = models.PositiveSmallIntegerField()
    text = models.CharField(max_length=80)
    quantity = models.BigIntegerField(default=1000)
    unit = models.CharField(max_length=12, default="each")
    amount = MoneyField()
    taxable = models.BooleanField(default=True)
    tax_share = MoneyField(default=0)
    extra_share = MoneyField(default=0)  # of freight (+) and discount (-)
    condition = models.CharField(max_length=5, choices=[(key, key) for key in CONDITIONS], default="-")

    class Meta:
        ordering = ["receipt_id", "ordinal"]
        constraints = [
            models.UniqueConstraint(fields=["receipt", "ordinal"], name="receipt_line_once"),
            models.CheckConstraint(
                condition=Q(quantity__gt=0, amount__gte=0), name="receipt_line_makes_sense"
            ),
        ]


class ReceiptPortion(models.Model):
    """The part of a line that goes to one home; ``amount`` includes its share of the tax."""

    line = models.ForeignKey(ReceiptLine, on_delete=models.CASCADE, related_name="portions")
    home = models.CharField(max_length=10, choices=[(key, home.label) for key, home in HOMES.items()])
    cost_object = models.ForeignKey(CostObject, null=True, on_delete=models.PROTECT, related_name="+")
    quantity = models.BigIntegerField()
    amount = MoneyField()

    class Meta:
        ordering = ["line__ordinal", "id"]

    @property
    def home_words(self) -> str:
        """Where it went, in one or two words."""
        return HOMES[self.home].short


class CoreDeposit(models.Model):
    """Money a store holds until the old unit is brought back. A receivable, never a cost of the repair."""

    code = models.CharField(max_length=12, unique=True)
    portion = models.OneToOneField(ReceiptPortion, on_delete=models.PROTECT, related_name="core")
    store = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="cores")
    item = models.CharField(max_length=80)
    amount = MoneyField()
    tax = MoneyField(default=0)  # of the amount
    box = models.CharField(max_length=60, blank=True)
    cost_object = models.ForeignKey(CostObject, null=True, on_delete=models.PROTECT, related_name="+")
    on = models.DateField()
    due_on = models.DateField(db_index=True)

    class Meta:
        ordering = ["due_on", "code"]
        constraints = [models.CheckConstraint(condition=Q(amount__gt=0), name="core_amount_positive")]

    def __str__(self) -> str:
        return self.code


class CoreReturn(models.Model):
    """How a core ended: money back in full or part, refused, or past its day. One per core."""

    KINDS = [
        ("full", "all of it back"),
        ("part", "part of it back"),
        ("refused", "refused"),
        ("lapsed", "lapsed"),
    ]

    core = models.OneToOneField(CoreDeposit, on_delete=models.PROTECT, related_name="returned")
    kind = models.CharField(max_length=8, choices=KINDS)
    amount_back = MoneyField(default=0)
    tax_kept = MoneyField(default=0)
    to = models.CharField(max_length=12)
    # The bill it was set against, where the store credited its account instead of paying.
    bill = models.ForeignKey(Receipt, null=True, on_delete=models.PROTECT, related_name="core_offsets")
    on = models.DateField()
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="+")
    returned_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True)


class ShelfLot(models.Model):
    """Stock that came in at one time for one cost, with its share of the tax.

    Quantities in thousandths of ``unit``. ``left_quantity`` and ``left_cost`` move with issues and counts under
    the books lock; ``proofs`` re-adds them from those rows. A lot that cost nothing (a used part given) has no entry.
    """

    code = models.CharField(max_length=12, unique=True)
    item = models.CharField(max_length=80)
    unit = models.CharField(max_length=12)
    quantity = models.BigIntegerField()
    cost = MoneyField()
    left_quantity = models.BigIntegerField()
    left_cost = MoneyField()
    on = models.DateField()
    source = models.CharField(max_length=40)
    condition = models.CharField(max_length=5, choices=[(key, key) for key in CONDITIONS], default="-")
    portion = models.OneToOneField(ReceiptPortion, null=True, on_delete=models.PROTECT, related_name="lot")
    entry = models.ForeignKey(Entry, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["on", "code"]
        indexes = [
            models.Index(Lower("item"), "unit", "on", name="lot_item"),
            models.Index(fields=["item", "on"], name="lot_in_order"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity__gt=0, left_quantity__gte=0, left_cost__gte=0)
                & Q(left_quantity__lte=models.F("quantity"), left_cost__lte=models.F("cost")),
                name="lot_left_makes_sense",
            ),
            models.CheckConstraint(
                condition=Q(left_quantity__gt=0) | Q(left_cost=0), name="lot_empty_costs_nothing"
            ),
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def given(self) -> bool:
        """Whether it came as a gift of goods: its source is then the gift's code."""
        return self.source.startswith("G-")


class ShelfIssue(models.Model):
    """A quantity taken from one lot for a repair, or for the shop (no cost object), at what that lot cost.

    ``entry`` is None when the quantity cost nothing (a used unit given at no value).
    """

    lot = models.ForeignKey(ShelfLot, on_delete=models.PROTECT, related_name="issues")
    home = models.CharField(max_length=10)
    quantity = models.BigIntegerField()
    amount = MoneyField()
    cost_object = models.ForeignKey(CostObject, null=True, on_delete=models.PROTECT, related_name="+")
    on = models.DateField()
    entry = models.ForeignKey(Entry, null=True, on_delete=models.PROTECT, related_name="+")
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0, amount__gte=0), name="issue_makes_sense")
        ]

    @property
    def words(self) -> str:
        """What was taken, as a repair's own page and its hand-back sheet say it. Reads ``lot``."""
        lot = self.lot
        if not self.amount:
            used = CONDITIONS[lot.condition] if lot.condition != "-" else ""
            unit = "unit" if self.quantity == 1000 else "units"
            many = (
                f"{number_words(self.quantity)} {used} {unit}"
                if lot.unit == "each"
                else quantity_words(self.quantity, lot.unit)
            )
            return f"{lot.item}: {' '.join(many.split())}, {'given' if lot.given else 'at no cost'}"
        of = "given, from the shelf" if lot.given else "from the shelf"
        return f"{lot.item}, {quantity_words(self.quantity, lot.unit)}, {of}"


class ShelfCount(models.Model):
    """What was found when a lot was counted. ``quantity`` and ``amount`` are the change: minus when short."""

    lot = models.ForeignKey(ShelfLot, on_delete=models.PROTECT, related_name="counts")
    expected = models.BigIntegerField()
    counted = models.BigIntegerField()
    quantity = models.BigIntegerField()
    amount = MoneyField()
    on = models.DateField()
    entry = models.OneToOneField(Entry, null=True, on_delete=models.PROTECT, related_name="+")
    counted_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]
