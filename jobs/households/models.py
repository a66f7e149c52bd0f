from django.conf import settings
from django.db import models

from fund.money import Money
from fund.sealed_fields import (
    SealedDateField,
    SealedJSONField,
    SealedMoneyField,
    SealedNumberField,
    SealedTextField,
)
from jobs.households.rules import (
    AREAS,
    INCOME_PAPERS,
    KINDS,
    LANGUAGES,
    PAPERS,
    PERIODS,
    PROGRAMS,
    RELATIONS,
    IncomeFacts,
)


class Household(models.Model):
    """Who is helped. Outside the power household.papers it is known by its alias only.

    What says who they are is sealed; :class:`SearchKey` finds them by phone, plate, VIN, birth date and address.
    """

    code = models.CharField(max_length=12, unique=True)
    alias = models.CharField(max_length=40, db_index=True)
    area = models.CharField(max_length=12, choices=list(AREAS.items()), default="contiguous")
    district = models.CharField("area of other income tables", max_length=60, blank=True)
    applicant_name = SealedTextField("name")
    phone = SealedTextField(blank=True)
    email = SealedTextField("e-mail", blank=True)
    address = SealedTextField(blank=True)
    language = models.CharField(max_length=8, choices=list(LANGUAGES.items()), default="en")
    no_income_words = SealedTextField("how rent, food and phone are paid without an income", blank=True)
    program = SealedTextField("means-tested program the household is on", blank=True)
    entered_on = models.DateField()
    merged_into = models.ForeignKey(
        "self", null=True, on_delete=models.PROTECT, related_name="merged", db_index=False
    )
    forgotten_on = models.DateField(null=True)

    class Meta:
        ordering = ["-code"]
        indexes = [
            # Nearly all are merged into nothing: an index with them in it would make engines read the whole table.
            models.Index(
                fields=["merged_into"],
                condition=models.Q(merged_into__isnull=False),
                name="jobs_household_merged",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.alias} ({self.code})"

    @property
    def program_words(self) -> str:
        return PROGRAMS.get(self.program, "")


class Member(models.Model):
    """One person of a household; ``number`` (1, 2, ...) stands for the name on worksheets and in decisions."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="members")
    number = models.PositiveSmallIntegerField()
    name = SealedTextField()
    birth_year = SealedNumberField(null=True, blank=True)
    birth_date = SealedDateField(null=True, blank=True)
    relation = models.CharField(max_length=12, choices=list(RELATIONS.items()))
    adult = models.BooleanField("18 or older", default=False)

    class Meta:
        ordering = ["household", "number"]
        constraints = [
            models.UniqueConstraint(fields=["household", "number"], name="jobs_member_one_number"),
        ]

    def __str__(self) -> str:
        return f"person {self.number}"


class Income(models.Model):
    """One income as told. Amount per period; hours in hundredths a week; weeks a year, or weeks so far."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="incomes")
    member = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="incomes")
    kind = models.CharField(max_length=16, choices=list(KINDS.items()))
    period = models.CharField(max_length=16, choices=list(PERIODS.items()))
    amount = SealedMoneyField()
    hours = models.PositiveIntegerField(null=True)
    weeks = models.PositiveSmallIntegerField()
    months = models.PositiveSmallIntegerField(default=12)
    detail = SealedJSONField(default=dict)  # "stubs" and "costs" in minor units
    weeks_so_far = models.PositiveSmallIntegerField(null=True)
    note = SealedTextField(blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.kind} of {self.member}"

    @property
    def facts(self) -> IncomeFacts:
        return IncomeFacts(
            member=self.member.number,
            kind=self.kind,
            period=self.period,
            amount=self.amount,
            hours=self.hours,
            weeks=self.weeks,
            weeks_so_far=self.weeks_so_far,
            note=self.note,
            months=self.months,
            stubs=tuple(Money(minor) for minor in self.detail.get("stubs", ())),
            costs=Money(self.detail["costs"]) if "costs" in self.detail else None,
        )


class Sighting(models.Model):
    """A paper that was seen and given back: its kind, its own date, who saw it and when.

    A copy is the exception (:class:`models_papers.PaperCopy`), sealed and with a day on which it is deleted.
    """

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="sightings")
    kind = models.CharField("paper", max_length=20, choices=list(PAPERS.items()))
    document_date = models.DateField("date on the paper")
    expires_on = models.DateField("valid until", null=True)
    on = models.DateField("seen on")
    vehicle = models.ForeignKey("jobs.Vehicle", null=True, on_delete=models.SET_NULL, related_name="+")
    sighted_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    note = SealedTextField(blank=True)

    class Meta:
        ordering = ["-on", "-pk"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.document_date}"

    @property
    def about_income(self) -> bool:
        return self.kind in INCOME_PAPERS
