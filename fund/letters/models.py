from django.conf import settings
from django.db import models
from django.db.models import F, Q

from fund.gifts.models import Gift, Supporter
from fund.letters.rules import TokenLimits
from fund.money import MoneyField


class TokenLimit(models.Model):
    """A year's figures for small benefits and where they stand. Append-only; the newest row of a year counts."""

    SEEN = [
        ("read", "read in the revenue procedure"),
        ("quoted", "quoted by others"),
        ("memory", "from memory"),
    ]

    year = models.PositiveSmallIntegerField(db_index=True)
    low_cost = MoneyField()
    floor = MoneyField()
    cap = MoneyField()
    procedure = models.CharField(max_length=60)
    seen = models.CharField(max_length=6, choices=SEEN)
    source = models.CharField(max_length=200)

    class Meta:
        ordering = ["-year", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(low_cost__gt=0, floor=F("low_cost") * 5, cap=F("low_cost") * 10),
                name="token_limits_one_five_ten",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.year}: {self.low_cost}, {self.floor}, {self.cap}"

    @property
    def limits(self) -> TokenLimits:
        memory = self.seen == "memory"
        return TokenLimits(self.year, self.low_cost, self.floor, self.cap, self.procedure, memory)


class LetterBatch(models.Model):
    """The letters of a year, written supporter by supporter: how many there are to do and how many are done."""

    year = models.PositiveSmallIntegerField()
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    to_do = models.PositiveIntegerField()
    done = models.PositiveIntegerField(default=0)
    written = models.PositiveIntegerField(default=0)
    last_supporter = models.PositiveBigIntegerField(default=0)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["year"], condition=Q(ended_at__isnull=True), name="one_batch_of_a_year_at_a_time"
            ),
        ]

    def __str__(self) -> str:
        return f"Letters of {self.year}"

    @property
    def progress(self) -> str:
        return f"{self.done:,} of {self.to_do:,}"


class Letter(models.Model):
    """An acknowledgment as it was written. Numbered without gaps and final.

    ``words`` holds everything it says except to whom (JSON values, see ``rules_words.words_of``); ``digest`` is the
    SHA-256 of it. Who it went to may be taken away when they ask to be forgotten; nothing else ever changes.
    """

    KINDS = [("gift", "one gift"), ("year", "the year")]

    number = models.PositiveIntegerField(primary_key=True)
    kind = models.CharField(max_length=4, choices=KINDS)
    year = models.PositiveSmallIntegerField(db_index=True)
    supporter = models.ForeignKey(Supporter, on_delete=models.PROTECT, related_name="letters")
    on = models.DateField()
    to_name = models.CharField(max_length=120)
    to_address = models.TextField(blank=True)
    to_email = models.EmailField(blank=True)
    words = models.JSONField()
    digest = models.CharField(max_length=64)
    amount = MoneyField()
    gift_part = MoneyField()
    deductible = models.BooleanField()
    replaces = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="replaced_by")
    batch = models.ForeignKey(LetterBatch, null=True, on_delete=models.PROTECT, related_name="letters")
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    written_at = models.DateTimeField()

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.CheckConstraint(
                condition=Q(amount__gte=0, gift_part__gte=0, gift_part__lte=F("amount")),
                name="letter_amounts_make_sense",
            ),
        ]

    def __str__(self) -> str:
        return f"Letter {self.number}"


class LetterGift(models.Model):
    """A gift that a letter speaks of, at the amount it names.

    The first letter of a gift stands alone; each later one must name the letter before it (``also_in``), void or not:
    so the database itself sees to it that no gift is in two letters silently.
    """

    letter = models.ForeignKey(Letter, on_delete=models.PROTECT, related_name="lines")
    gift = models.ForeignKey(Gift, on_delete=models.PROTECT, related_name="letter_lines")
    amount = MoneyField()
    also_in = models.ForeignKey(Letter, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["letter", "id"]
        constraints = [
            models.UniqueConstraint(fields=["letter", "gift"], name="gift_once_in_a_letter"),
            models.UniqueConstraint(
                fields=["gift"], condition=Q(also_in__isnull=True), name="gift_first_letter_once"
            ),
            models.UniqueConstraint(fields=["gift", "also_in"], name="gift_next_letter_once"),
        ]

    def __str__(self) -> str:
        return f"{self.gift_id} in letter {self.letter_id}"


class LetterVoid(models.Model):
    """A letter withdrawn, and why. The letter itself stays as it was written."""

    letter = models.OneToOneField(Letter, on_delete=models.PROTECT, related_name="void")
    on = models.DateField()
    reason = models.CharField(max_length=200)
    voided_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    voided_at = models.DateTimeField()

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"Letter {self.letter_id} void"
