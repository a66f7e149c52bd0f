from django.conf import settings
from django.db import models
from django.db.models import F, Q

from fund.gifts.models_platforms import Platform
from fund.gifts.rules import SUPPORTER_KINDS
from fund.money import MoneyField


class Supporter(models.Model):
    """Who gives. `anonymous` hides the name in everything public; the books always know it.

    A supporter that was found to be the same as another points at it (`merged_into`) and holds nothing until the
    merge is undone. An erased one has its code for a name and no way to be reached.
    """

    code = models.CharField(max_length=12, unique=True)
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True, db_index=True)
    address = models.TextField(blank=True)
    kind = models.CharField(max_length=12, choices=list(SUPPORTER_KINDS.items()), default="person")
    anonymous = models.BooleanField(default=False)
    note = models.CharField(max_length=300, blank=True)
    merged_into = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="merged")
    erased_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["name", "code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(merged_into__isnull=True) | ~Q(merged_into=F("id")),
                name="supporter_not_into_itself",
            ),
            models.CheckConstraint(
                condition=Q(erased_at__isnull=True) | Q(email="", address="", note="", name=F("code")),
                name="supporter_erased_whole",
            ),
        ]

    def __str__(self) -> str:
        return self.code if self.erased_at else f"{self.name} ({self.code})"


class SupporterKey(models.Model):
    """The id by which a platform knows a supporter."""

    supporter = models.ForeignKey(Supporter, on_delete=models.PROTECT, related_name="keys")
    platform = models.ForeignKey(Platform, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=80)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["platform", "key"], name="supporter_key_once")]

    def __str__(self) -> str:
        return f"{self.platform_id} {self.key}"


class SupporterMerge(models.Model):
    """Two supporters found to be one. `moved` names every row that changed hands, by table, so that it can go back."""

    kept = models.ForeignKey(Supporter, on_delete=models.PROTECT, related_name="merges")
    gone = models.ForeignKey(Supporter, on_delete=models.PROTECT, related_name="+")
    reason = models.CharField(max_length=300)
    moved = models.JSONField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    undone_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    undone_at = models.DateTimeField(null=True)
    undone_reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["gone"], condition=Q(undone_at__isnull=True), name="supporter_merged_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.gone_id} into {self.kept_id}"


class Decline(models.Model):
    """A card that a platform tried and could not charge: no money moved, the monthly gift is being retried."""

    platform = models.ForeignKey(Platform, on_delete=models.PROTECT, related_name="+")
    platform_ref = models.CharField(max_length=80)
    supporter = models.ForeignKey(Supporter, null=True, on_delete=models.PROTECT, related_name="declines")
    on = models.DateField()

    class Meta:
        ordering = ["-on", "-id"]
        constraints = [models.UniqueConstraint(fields=["platform", "platform_ref"], name="decline_once")]

    def __str__(self) -> str:
        return f"{self.platform_ref} {self.on}"


class Pledge(models.Model):
    """What somebody means to give. It never reaches the ledger; the outlook shows it until it is kept or withdrawn."""

    code = models.CharField(max_length=12, unique=True)
    supporter = models.ForeignKey(Supporter, on_delete=models.PROTECT, related_name="pledges")
    amount = MoneyField()
    due_on = models.DateField()
    monthly = models.BooleanField(default=False)
    words = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    ended_on = models.DateField(null=True)
    ended_why = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["due_on", "id"]
        constraints = [models.CheckConstraint(condition=Q(amount__gt=0), name="pledge_positive")]

    def __str__(self) -> str:
        return self.code
