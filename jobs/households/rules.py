"""What a household tells about itself, as plain values with their limits. Amounts are Money (minor units)."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation

from fund.money import Money
from fund.refusal import BadInput

AREAS = {"contiguous": "48 states and D.C.", "alaska": "Alaska", "hawaii": "Hawaii"}
LANGUAGES = {"en": "English", "es": "Spanish", "other": "another language"}
RELATIONS = {
    "applicant": "the person asking",
    "partner": "spouse or partner",
    "child": "child",
    "parent": "parent",
    "other kin": "other relative",
    "not kin": "not related, shares the household",
}
KINDS = {
    "pay": "Pay from a job",
    "self-employed": "Own business, after its costs",
    "benefit": "Benefit or pension",
    "child support": "Child support or alimony",
    "help": "Money that others give the household",
    "other": "Other income",
}
PERIODS = {
    "hourly": "an hour",
    "weekly": "a week",
    "two weeks": "every two weeks",
    "twice a month": "twice a month",
    "monthly": "a month",
    "yearly": "a year",
    "year to date": "so far this year",
    "profit and loss": "takings of a business over some months",
}
SEASONAL = frozenset(
    {"hourly", "weekly", "two weeks"}
)  # periods counted in weeks, so part of a year can be said
AVERAGED = frozenset({"weekly", "two weeks", "twice a month", "monthly"})  # several pays can be told
BY_MONTHS = frozenset({"twice a month", "monthly", "profit and loss"})
# Means-tested programs: whoever is on one has shown a low income to a public office already.
PROGRAMS = {
    "food benefits": "Food benefits (SNAP)",
    "medicaid": "Medicaid",
    "ssi": "Supplemental Security Income (SSI)",
    "cash aid": "Cash assistance (TANF) or general assistance",
    "housing": "Housing voucher or public housing",
    "energy": "Help with energy bills (LIHEAP)",
    "school meals": "Free school meals",
    "other": "Another program that looks at income",
}
PAPERS = {
    "pay stub": "Pay stub",
    "benefit letter": "Benefit letter",
    "support order": "Child support order",
    "tax return": "Tax return",
    "profit and loss": "Profit and loss of a business",
    "bank statement": "Bank statement",
    "signed statement": "Signed and witnessed statement",
    "program letter": "Letter of a means-tested program",
    "identity": "Photo identity",
    "address": "Proof of address",
    "title": "Vehicle title",
    "registration": "Vehicle registration",
    "insurance": "Insurance card",
    "license": "Driver's license",
    "owner authority": "Title holder's signed authority for the work",
}
INCOME_PAPERS = frozenset(list(PAPERS)[:7])

WEEKS, MONTHS = 52, 12
MOST_STUBS = 60
HOURS_OF_A_WEEK = 168


@dataclass(frozen=True, kw_only=True)
class MemberFacts:
    """One person of the household. ``number`` is the row it replaces (1, 2, ...); None is a new person.

    A ``birth_date`` also says the year of birth.
    """

    name: str
    relation: str = "child"
    birth_year: int | None = None
    birth_date: date | None = None
    adult: bool = False
    number: int | None = None


@dataclass(frozen=True, kw_only=True)
class IncomeFacts:
    """One income as it was told.

    ``amount`` is per period (year to date: the whole sum so far). ``hours`` are hundredths of an hour a week,
    for hourly pay only. ``weeks`` are worked in a year; ``weeks_so_far`` are covered by a year-to-date sum.
    ``member`` is the number of the household member who has it. ``stubs`` are several pays of the same period, which
    are averaged (``amount`` is then not used). ``months`` are worked in a year, for pay by the month; for a business
    ``amount`` is its takings and ``costs`` its costs over ``months``.
    """

    kind: str
    period: str
    amount: Money
    member: int = 1
    hours: int | None = None
    weeks: int = WEEKS
    weeks_so_far: int | None = None
    note: str = ""
    stubs: tuple[Money, ...] = ()
    months: int = MONTHS
    costs: Money | None = None

    @property
    def detail(self) -> dict[str, object]:
        """Stubs and costs as they are stored, in minor units; only what there is."""
        stubs: dict[str, object] = {"stubs": [stub.minor for stub in self.stubs]} if self.stubs else {}
        return stubs if self.costs is None else {**stubs, "costs": self.costs.minor}


def parse_hours(text: str) -> int:
    """Hours a week as typed ("37.5") in hundredths of an hour. Refuses words, minus and a third decimal."""
    bare = text.strip()
    try:
        hours = Decimal(bare)
    except InvalidOperation:
        raise BadInput(f"“{bare[:20]}” is not a number of hours. Write it like 37.5.") from None
    if not hours.is_finite() or hours <= 0:
        raise BadInput("The hours of a week must be more than 0.")
    if hours > HOURS_OF_A_WEEK:
        raise BadInput(f"{bare[:20]} hours a week is more than the {HOURS_OF_A_WEEK} hours that a week has.")
    hundredths = hours * 100
    if hundredths != int(hundredths):
        raise BadInput(f"“{bare[:20]}” has more than two places. Write the hours like 37.5 or 37.25.")
    return int(hundredths)


def check_income(income: IncomeFacts) -> None:
    """Refuses, in a sentence that says what to do, an income that can't be turned into a yearly figure."""
    if income.kind not in KINDS or income.period not in PERIODS:
        raise BadInput("Choose what kind of income it is and how often it comes.")
    if income.amount < Money.zero:
        raise BadInput(
            f"An income cannot be below zero: {income.amount}. "
            "Enter a business at a loss as 0.00 with a note; leave out money that is paid to others."
        )
    if income.stubs and income.period not in AVERAGED:
        raise BadInput(
            "Several pays can be averaged when they come by the week, every two weeks or by the month."
        )
    if len(income.stubs) > MOST_STUBS or any(stub < Money.zero for stub in income.stubs):
        raise BadInput(f"Up to {MOST_STUBS} pays can be averaged, and none is below zero.")
    _check_hours(income)
    _check_months(income)
    _check_weeks(income)
    _check_weeks_so_far(income)


def _check_hours(income: IncomeFacts) -> None:
    if income.period != "hourly":
        if income.hours is not None:
            raise BadInput(
                "Hours a week belong to pay by the hour. Choose “an hour” or leave the hours empty."
            )
    elif income.hours is None:
        raise BadInput("Pay by the hour also needs the hours a week.")
    elif not 0 < income.hours <= HOURS_OF_A_WEEK * 100:
        raise BadInput(f"Hours a week must be more than 0 and at most the {HOURS_OF_A_WEEK} that a week has.")


def _check_months(income: IncomeFacts) -> None:
    if not 1 <= income.months <= MONTHS:
        raise BadInput(f"Months must be from 1 to {MONTHS}, not {income.months}.")
    if income.months != MONTHS and income.period not in BY_MONTHS:
        raise BadInput(
            "Months belong to pay by the month and to a business. Leave 12 there for other income."
        )
    if (income.costs is not None) != (income.period == "profit and loss"):
        raise BadInput("A business needs its takings and its costs; costs belong to a business only.")
    if income.costs is not None and income.costs < Money.zero:
        raise BadInput("The costs of a business are written without a minus.")


def _check_weeks(income: IncomeFacts) -> None:
    if not 1 <= income.weeks <= WEEKS:
        raise BadInput(f"Weeks a year must be from 1 to {WEEKS}, not {income.weeks}.")
    if income.weeks != WEEKS and income.period not in SEASONAL:
        raise BadInput(
            "Weeks a year can be given for pay by the hour, by the week or every two weeks. "
            "For other seasonal income write the sum of the year and choose “a year”."
        )


def _check_weeks_so_far(income: IncomeFacts) -> None:
    if income.period != "year to date":
        if income.weeks_so_far is not None:
            raise BadInput("Weeks so far belong to a sum “so far this year” only.")
    elif income.weeks_so_far is None:
        raise BadInput("A sum so far this year also needs the number of weeks it covers.")
    elif not 1 <= income.weeks_so_far <= WEEKS:
        raise BadInput(f"Weeks so far must be from 1 to {WEEKS}, not {income.weeks_so_far}.")


def check_members(members: Sequence[MemberFacts], today: date) -> None:
    """Refuses a list without exactly one person asking, a nameless person, or an impossible birth year."""
    asking = sum(member.relation == "applicant" for member in members)
    if asking != 1:
        raise BadInput(f"Exactly one person of the household is the one who asks; here it is {asking}.")
    for member in members:
        if not member.name.strip():
            raise BadInput("Each person of the household needs a name. “Baby” is good enough for a newborn.")
        if member.relation not in RELATIONS:
            raise BadInput(f"Say how {member.name.strip()} belongs to the household.")
        if member.birth_year is not None and not 1900 <= member.birth_year <= today.year:
            raise BadInput(f"A birth year from 1900 to {today.year} is needed, not {member.birth_year}.")
        if member.birth_date is not None and not date(1900, 1, 1) <= member.birth_date <= today:
            raise BadInput(f"A birth date cannot be {member.birth_date}. Write it as on the papers.")


def next_alias(aliases: Sequence[str], times_used: Mapping[str, int]) -> str:
    """The first alias of the list that is used least: none repeats before all have been used."""
    return min(aliases, key=lambda alias: times_used.get(alias, 0))


def people_words(size: int) -> str:
    """How many people a household is: ``1 person``, ``3 people``."""
    return "1 person" if size == 1 else f"{size} people"
