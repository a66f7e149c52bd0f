from django.conf import settings
from django.db import models

from fund.money import MoneyField
from fund.receipts.rules_look_rows import KINDS


class LookAnswer(models.Model):
    """What somebody else wrote about papers that were worth a second look. Append-only.

    ``text``, ``names`` and ``amount`` are what was asked that day, word for word; ``codes`` the papers meant, with a
    space between.
    """

    key = models.CharField(max_length=40, unique=True)
    kind = models.CharField(max_length=10, choices=list(KINDS.items()))
    on = models.DateField(db_index=True)
    text = models.TextField()
    codes = models.TextField()
    names = models.TextField()
    amount = MoneyField()
    words = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-id"]

    def __str__(self) -> str:
        return self.key
