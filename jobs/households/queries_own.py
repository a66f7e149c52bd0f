"""All that the fund holds about a household, as text for the household itself."""

from collections.abc import Callable, Iterator, Sequence

from fund import clock
from fund.rulebook.queries import rules_on
from jobs.households.models import Household
from jobs.households.queries_keep import dues_of, whole
from jobs.households.queries_own_asked import repairs_of, requests_of
from jobs.households.rules import KINDS, PERIODS
from jobs.signing.queries import signatures_of


def own_data(household: Household) -> str:
    """A readable file, headings and lines; who of the crew wrote what is in it by name.

    Of a household found under several records it tells what each holds, from whichever of them it is asked.
    """
    records = list(whole(household))
    parts = [
        *_head(records[0]),
        *_under("You", _each(records, _facts)),
        *_under("The people of your household", _each(records, _people)),
        *_under("Incomes as you told them", _each(records, _incomes)),
        *_under("Papers we saw", _each(records, _papers)),
        *_under("Vehicles", _each(records, _vehicles)),
        *_under("Requests and decisions", requests_of(records)),
        *_under("Repairs", repairs_of(records)),
        *_under("What you signed", [line for row in records for line in signatures_of(row)]),
        *_under("What went out and was put right", _each(records, _outside)),
        *_kept(records[0]),
    ]
    return "\n".join(parts).strip() + "\n"


def _each(records: Sequence[Household], lines_of: Callable[[Household], list[str]]) -> list[str]:
    """The lines of the record that counts, then those of each record that became one with it, under its code."""
    first, *merged = records
    lines = lines_of(first)
    for row in merged:
        if more := lines_of(row):
            lines += [f"In the record {row.code}, which became one with this:", *more]
    return lines


def _under(heading: str, lines: list[str]) -> Iterator[str]:
    yield from ("", heading, "-" * len(heading), *(lines or ["Nothing."]))


def _head(household: Household) -> Iterator[str]:
    title = f"What {rules_on(clock.today())['fund_name']} holds about your household"
    yield from (title, "=" * len(title), f"As of {clock.today()}. In public you are “{household.alias}”.")


def _facts(household: Household) -> list[str]:
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
    return [f"{name}: {value or 'nothing'}" for name, value in facts]


def _people(household: Household) -> list[str]:
    return [
        f"{row.number}. {row.name}, {row.get_relation_display()}, "
        f"{'18 or older' if row.adult else 'under 18'}, born {row.birth_date or row.birth_year or 'not told'}"
        for row in household.members.all()
    ]


def _incomes(household: Household) -> list[str]:
    rows = []
    for row in household.incomes.select_related("member"):
        facts = row.facts
        pays = f" (pays {', '.join(map(str, facts.stubs))})" if facts.stubs else ""
        costs = f", costs {facts.costs}" if facts.costs is not None else ""
        note = f". Note: {facts.note}" if facts.note else ""
        rows.append(
            f"Person {facts.member}: {KINDS[facts.kind]}, {facts.amount} {PERIODS[facts.period]}{pays}{costs}{note}"
        )
    return rows


def _papers(household: Household) -> list[str]:
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
    return rows


def _vehicles(household: Household) -> list[str]:
    rows = []
    for row in household.vehicles.all():
        value = f"{row.value.dollars} ({row.value_source or 'no source'})" if row.value else "not told"
        rows.append(
            f"{row}, {row.make_model or 'make not told'}; VIN {row.vin or 'not told'}; plate {row.plate or 'not told'}; "
            f"{row.mileage or 'unknown'} miles; title in the name of {row.get_title_display() or 'not told'}; "
            f"registered to you since {row.registered_on or 'not told'}; value {value}. {row.note}".strip()
        )
    return rows


def _outside(household: Household) -> list[str]:
    return [
        f"{row.on}: {row.showed_words} was to be seen ({row.where}); {row.done_words}. {row.words}".strip()
        for row in household.put_right.all()
    ]


def _kept(household: Household) -> Iterator[str]:
    rows = [
        f"{row.kept_class}: destroyed on {row.due_on} ({row.rule})"
        for row in dues_of(household, clock.today())
    ]
    yield from _under(
        "How long we keep it", rows or ["Until your request has come to an end; then by our rules."]
    )
