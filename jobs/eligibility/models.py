from django.conf import settings
from django.db import models

from fund.money import MoneyField
from fund.sealed_fields import SealedJSONField, SealedTextField
from jobs.eligibility.rules import GUIDELINE, SIZES, Table
from jobs.eligibility.rules_decision import REASONS, VERDICTS
from jobs.households.rules import AREAS


class GuidelineTable(models.Model):
    """A published income table of one area, yearly amounts. Rows are never changed: a correction has its own day.

    ``line`` names what it is: the poverty guideline, or another such as an area median income.
    """

    year = models.PositiveSmallIntegerField()
    line = models.CharField(max_length=60, default=GUIDELINE)
    area = models.CharField(max_length=60)
    size_1 = MoneyField()
    size_2 = MoneyField()
    size_3 = MoneyField()
    size_4 = MoneyField()
    size_5 = MoneyField()
    size_6 = MoneyField()
    size_7 = MoneyField()
    size_8 = MoneyField()
    each_more = MoneyField()
    in_use_from = models.DateField()
    source = models.CharField(max_length=300)

    class Meta:
        ordering = ["line", "area", "in_use_from"]
        constraints = [
            models.UniqueConstraint(
                fields=["line", "area", "in_use_from"], name="jobs_guidelinetable_one_a_day"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.year} {self.line}, {self.area_words}"

    @property
    def area_words(self) -> str:
        return AREAS.get(self.area, self.area)

    @property
    def table(self) -> Table:
        return Table(
            year=self.year,
            line=self.line,
            area=self.area,
            sizes=tuple(getattr(self, f"size_{size}") for size in range(1, SIZES + 1)),
            each_more=self.each_more,
            in_use_from=self.in_use_from,
            source=self.source,
        )


class EligibilityDecision(models.Model):
    """What was decided on an application, with every figure used. Never changed (database trigger).

    ``snapshot`` holds whole minor units and exact fractions as text (see rules.snapshot). It and ``words`` are sealed;
    only their sealing may be renewed, or taken away when the file of the household is due. ``digest`` is the SHA-256
    of both as written, so that any other change shows (:func:`proofs.decision_breaks`).
    """

    application = models.ForeignKey("jobs.Application", on_delete=models.PROTECT, related_name="decisions")
    relation_answer = models.OneToOneField(
        "jobs.RelationAnswer", on_delete=models.PROTECT, related_name="decision"
    )
    decided_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    on = models.DateField(db_index=True)
    at = models.DateTimeField()
    verdict = models.CharField(max_length=20, choices=list(VERDICTS.items()))
    reasons = models.JSONField()
    words = SealedTextField(blank=True)
    snapshot = SealedJSONField()
    digest = models.CharField(max_length=64)
    appeal = models.OneToOneField("jobs.Appeal", null=True, on_delete=models.PROTECT, related_name="decision")
    valid_until = models.DateField(null=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(verdict__in=list(VERDICTS)), name="jobs_eligibilitydecision_known_verdict"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.application}: {self.verdict} on {self.on}"

    @property
    def reason_words(self) -> list[str]:
        return [REASONS.get(code, code) for code in self.reasons]

    @property
    def worksheet(self) -> list[str]:
        return list((self.snapshot or {}).get("worksheet", []))
