from django.conf import settings
from django.db import models
from django.db.models import Q

from fund.bank.rules import WAYS
from fund.ledger.models import Line


class MatchGroup(models.Model):
    """Lines of the statement and lines of the books that are the same money: both sides have the same sum.

    One side may be empty when the other comes to zero (a slip of the bank and its correction). Append-only; undone by
    a :class:`MatchUndo`. ``cleared_on`` is the day the bank had shown all of it.
    """

    code = models.CharField(max_length=12, unique=True)
    way = models.CharField(max_length=8, choices=list(WAYS.items()))
    why = models.CharField(max_length=300)
    cleared_on = models.DateField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return self.code


class MatchPart(models.Model):
    """One line of either side in a match. Append-only."""

    group = models.ForeignKey(MatchGroup, on_delete=models.PROTECT, related_name="parts")
    bank_line = models.ForeignKey(
        "fund.StatementLine", null=True, on_delete=models.PROTECT, related_name="parts"
    )
    book_line = models.ForeignKey(Line, null=True, on_delete=models.PROTECT, related_name="bank_parts")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(bank_line=None, book_line__isnull=False)
                | Q(bank_line__isnull=False, book_line=None),
                name="match_part_one_side",
            ),
            models.UniqueConstraint(fields=["group", "bank_line"], name="match_bank_line_once"),
            models.UniqueConstraint(fields=["group", "book_line"], name="match_book_line_once"),
        ]


class MatchUndo(models.Model):
    """A match taken back, with the reason. Append-only."""

    group = models.OneToOneField(MatchGroup, on_delete=models.PROTECT, related_name="undone")
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
