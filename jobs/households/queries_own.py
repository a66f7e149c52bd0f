"""All that the fund holds about a household, as text for the household itself."""

from collections.abc import Iterator

from django.db.models import Prefetch

from fund import clock
from fund.ledger.queries import costs_of
from fund.money import Money
from fund.rulebook.queries import rules_on
from jobs.eligibility.models import EligibilityDecision
from jobs.households.models import Household
from jobs.households.queries_consent import consents_on
from jobs.households.queries_keep import dues_of
from jobs.households.rules import KINDS, PERIODS
from jobs.intake.models import Application
from jobs.intake.rules import CONSENTS
from jobs.repairs.models import RepairOrder
from jobs.signing.queries import signatures_of


def own_data(household: Household) -> str:
    """A readable file, headings and lines; who of the crew wrote what is in it by name."""
    parts = [
        *_head(household),
        *_people(household),
        *_incomes(household),
        *_papers(household),
        *_vehicles(household),
        *_requests(household),
        *_repairs(household),
        *_under("What you signed", signatures_of(household)),
        *_outside(household),
        *_kept(household),
    ]
    return "\n".join(parts).strip() + "\n"


def _under(heading: str, lines: list[str]) -> Iterator[str]:
    yield from ("", heading, "-" * len(heading), *(lines or ["Nothing."]))


def _head(household: Household) -> Iterator[str]:
    rules = rules_on(clock.today())
    title = f"What {rules['fund_name']} holds about your household"
    yield from (title, "=" * len(title), f"As of {clock.today()}. In public you are “{household.alias}”.")
    facts = (
        ("Record", household.code),
        ("Name", household.applicant_name),
        ("Phone", household.phone),
        ("E-mail", household.email),
        ("Address", household.address),
        ("Income table", f"{household.get_area_display()} {household.district}".strip()),
        ("Language", household.get_language_display()),
        ("Program that looks at income", household.program_words),
        ("How rent, food and phone are paid without an income", household.no_income_words),
        ("Entered on", str(household.entered_on)),
    )
    yield from _under("You", [f"{name}: {value or 'nothing'}" for name, value in facts])


def _people(household: Household) -> Iterator[str]:
    rows = [
        f"{row.number}. {row.name}, {row.get_relation_display()}, "
        f"{'18 or older' if row.adult else 'under 18'}, born {row.birth_date or row.birth_year or 'not told'}"
        for row in household.members.all()
    ]
    yield from _under("The people of your household", rows)


def _incomes(household: Household) -> Iterator[str]:
    rows = []
    for row in household.incomes.select_related("member"):
        facts = row.facts
        pays = f" (pays {', '.join(map(str, facts.stubs))})" if facts.stubs else ""
        costs = f", costs {facts.costs}" if facts.costs is not None else ""
        note = f". Note: {facts.note}" if facts.note else ""
        rows.append(
            f"Person {facts.member}: {KINDS[facts.kind]}, {facts.amount} {PERIODS[facts.period]}{pays}{costs}{note}"
        )
    yield from _under("Incomes as you told them", rows)


def _papers(household: Household) -> Iterator[str]:
    rows = []
    for row in household.sightings.select_related("sighted_by").prefetch_related("copies"):
        kept = [
            f"a copy is kept until {copy.delete_on}" for copy in row.copies.all() if copy.deleted_on is None
        ]
        note = f" Note: {row.note}." if row.note else ""
        rows.append(
            f"{row.get_kind_display()} of {row.document_date}, seen on {row.on} by {row.sighted_by.label}; "
            f"{', '.join(kept) or 'no copy is kept'}.{note}"
        )
    yield from _under("Papers we saw", rows)


def _vehicles(household: Household) -> Iterator[str]:
    rows = [
        f"{row}, {row.make_model or 'make not told'}; VIN {row.vin or 'not told'}; plate {row.plate or 'not told'}; "
        f"{row.mileage or 'unknown'} miles. {row.note}".strip()
        for row in household.vehicles.all()
    ]
    yield from _under("Vehicles", rows)


def _requests(household: Household) -> Iterator[str]:
    decisions = (
        EligibilityDecision.objects.select_related("decided_by").prefetch_related("letters").order_by("pk")
    )
    rows: list[str] = []
    for row in household.applications.prefetch_related(Prefetch("decisions", decisions)).order_by("pk"):
        rows += _request(row)
    yield from _under("Requests and decisions", rows)


def _request(row: Application) -> Iterator[str]:
    yield f"{row.code} of {row.submitted_on}: {row.get_state_display()}. {row.vehicle}. {row.complaint}"
    yield f"  Needed for: {row.get_need_display()}. {row.need_words}".rstrip()
    for key, given in consents_on(row).items():
        yield f"  {'Yes' if given else 'No'}: {CONSENTS.get(key, key)}"
    for decision in row.decisions.all():
        yield (
            f"  Decided on {decision.on} by {decision.decided_by.label}: {decision.verdict} "
            f"({', '.join(decision.reason_words)}). {decision.words}".rstrip()
        )
        yield from (f"    {line}" for line in decision.worksheet)
        yield from (f"    A letter went out on {letter.on}." for letter in decision.letters.all())


def _repairs(household: Household) -> Iterator[str]:
    orders = list(RepairOrder.objects.filter(household=household).order_by("number"))
    costs = costs_of([order.number for order in orders])
    rows = [
        f"{order.number}: {order.vehicle_class}, {order.state}. Complaint: {order.complaint} Cause: {order.cause} "
        f"Correction: {order.correction} Cost to the fund: {costs.get(order.number, Money.zero).dollars}; to you: $0.00"
        for order in orders
    ]
    yield from _under("Repairs", rows)


def _outside(household: Household) -> Iterator[str]:
    rows = [
        f"{row.on}: {row.showed_words} was to be seen ({row.where}); {row.done_words}. {row.words}".strip()
        for row in household.put_right.all()
    ]
    yield from _under("What went out and was put right", rows)


def _kept(household: Household) -> Iterator[str]:
    rows = [
        f"{row.kept_class}: destroyed on {row.due_on} ({row.rule})"
        for row in dues_of(household, clock.today())
    ]
    yield from _under(
        "How long we keep it", rows or ["Until your request has come to an end; then by our rules."]
    )
