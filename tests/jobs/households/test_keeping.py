"""Nothing is kept longer than the rules say, and nothing is destroyed sooner or twice."""

import json
from datetime import date
from io import StringIO

import pytest
from django.core.management import call_command

from fund import clock
from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput, NotAllowed
from fund.rulebook.actions import set_rule
from jobs.eligibility.models import EligibilityDecision
from jobs.eligibility.proofs import decision_breaks
from jobs.households.actions_keep import forget_households, lift_hold, set_hold
from jobs.households.identity import Identity
from jobs.households.models import Household
from jobs.households.models_keep import Destruction
from jobs.households.queries_keep import dues_of
from jobs.households.queries_search import alike_to
from jobs.households.rules_keep import (
    FILE_DECLINED,
    FILE_HELPED,
    INCOME,
    Asked,
    Kept,
    Periods,
    due,
    months_after,
)
from jobs.intake.actions import mark_helped
from jobs.intake.models import Application
from tests.jobs.households.stored import MARKS, everything_stored, marked, marks_in
from tests.jobs.intake.people import eligible

pytestmark = pytest.mark.django_db
PERIODS = Periods(income_months=24, helped_years=7, declined_months=24)
NEVER, DAY = date(2200, 1, 1), date(2026, 3, 15)


def kept(**changes: object) -> Kept:
    facts: dict[str, object] = {"open_requests": False, "helped_on": [], "ended_on": [], "has_incomes": True}
    return Kept(**(facts | changes))  # type: ignore[arg-type]


def test_who_was_helped_is_kept_seven_years_and_incomes_two() -> None:
    told = kept(helped_on=[date(2024, 2, 29), date(2023, 5, 1)], ended_on=[date(2023, 8, 1)])
    assert [(row.kept_class, row.due_on) for row in due(told, PERIODS, NEVER)] == [
        (INCOME, date(2026, 2, 28)),
        (FILE_HELPED, date(2031, 2, 28)),
    ]


@pytest.mark.parametrize(
    ("helped", "declined", "incomes", "file"),
    [
        (date(2024, 2, 10), date(2026, 3, 15), date(2028, 3, 15), date(2031, 2, 10)),
        (date(2019, 3, 1), date(2026, 3, 15), date(2028, 3, 15), date(2028, 3, 15)),
        (date(2026, 3, 15), date(2024, 2, 10), date(2028, 3, 15), date(2033, 3, 15)),
    ],
)
def test_a_decline_after_a_help_keeps_what_it_rested_on_as_long_as_any_decline(
    helped: date, declined: date, incomes: date, file: date
) -> None:
    found = due(kept(helped_on=[helped], ended_on=[declined]), PERIODS, NEVER)
    assert [(row.kept_class, row.due_on) for row in found] == [(INCOME, incomes), (FILE_HELPED, file)]
    words = "24 months after the request ended without help"
    assert [row.rule == words for row in found] == [declined > helped, file == date(2028, 3, 15)]


@pytest.mark.parametrize(
    ("asked", "ended"),
    [
        (Asked(is_open=False, last_on=DAY, good_until=NEVER), DAY),
        (Asked(is_open=True, last_on=DAY), None),
        (Asked(is_open=True, last_on=DAY, good_until=date(2026, 6, 13)), None),
        (Asked(is_open=True, last_on=DAY, good_until=date(2026, 6, 12)), date(2026, 6, 12)),
        (Asked(is_open=True, last_on=date(2026, 6, 1), good_until=date(2026, 5, 1)), date(2026, 6, 1)),
        (Asked(is_open=True, last_on=DAY, stopped_on=date(2026, 4, 1), good_until=NEVER), date(2026, 4, 1)),
    ],
)
def test_a_request_ends_when_its_yes_does_or_nothing_may_be_used(asked: Asked, ended: date | None) -> None:
    assert asked.ended_on(date(2026, 6, 13)) == ended


def test_who_was_not_helped_goes_after_two_years() -> None:
    told = kept(ended_on=[date(2024, 3, 15), date(2024, 1, 1)])
    assert due(told, PERIODS, date(2026, 3, 14)) == []
    assert [row.kept_class for row in due(told, PERIODS, date(2026, 3, 15))] == [FILE_DECLINED]


def test_an_open_request_and_a_hold_stop_everything_but_not_the_same_things() -> None:
    copies = [date(2026, 1, 1)]
    assert [row.kept_class for row in due(kept(open_requests=True, copies_due=copies), PERIODS, NEVER)] == [
        "copies of papers"
    ]
    assert due(kept(held=True, copies_due=copies, ended_on=[date(2000, 1, 1)]), PERIODS, NEVER) == []


@pytest.mark.parametrize(
    ("on", "months", "after"),
    [
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2026, 11, 30), 1, date(2026, 12, 30)),
        (date(2026, 12, 1), 12, date(2027, 12, 1)),
        (date(2024, 2, 29), 84, date(2031, 2, 28)),
    ],
)
def test_months_ahead_are_counted_by_the_calendar(on: date, months: int, after: date) -> None:
    assert months_after(on, months) == after


def declined(screener: Person, volunteer: Person, owner: Person) -> Application:
    application = marked(screener, volunteer)
    Application.objects.filter(pk=application.pk).update(state="not eligible")
    lift_hold(by=owner, household=application.household)
    return application


def test_a_declined_household_is_forgotten_whole(screener: Person, volunteer: Person, owner: Person) -> None:
    application = declined(screener, volunteer, owner)
    digest = EligibilityDecision.objects.get().digest
    with clock.at(date(2028, 3, 15)):
        lines = forget_households(by=owner)
        assert forget_households(by=owner) == []
    assert [(line.kept_class, line.household.code) for line in lines] == [(FILE_DECLINED, "H-0001")]
    assert (lines[0].counts["people"], lines[0].counts["incomes"]) == (2, 2)
    household = Household.objects.get()
    assert (household.alias, household.forgotten_on) == ("Alder", date(2028, 3, 15))
    assert (household.applicant_name, household.phone, household.address) == ("", "", "")
    assert not household.members.exists()
    assert not household.search_keys.exists()
    assert alike_to(Identity(phones=(MARKS["phone"],))) == []
    decision = EligibilityDecision.objects.get()
    assert (decision.verdict, decision.digest) == ("not eligible", digest)
    assert (decision.snapshot, decision.words, decision.worksheet) == (None, "", [])
    assert list(decision_breaks()) == []
    application.refresh_from_db()
    assert application.complaint == ""


def test_no_sealed_value_is_left_after_forgetting(screener: Person, volunteer: Person, owner: Person) -> None:
    declined(screener, volunteer, owner)
    forget_households(by=owner, on=date(2028, 3, 15))
    stored = everything_stored()
    assert marks_in(stored) == []
    assert "gAAAAA" not in stored  # how every token of the sealing begins


def test_a_hold_stops_it_until_it_is_lifted(screener: Person, volunteer: Person, owner: Person) -> None:
    application = declined(screener, volunteer, owner)
    hold = set_hold(by=screener, household=application.household, reason="The insurer asks")
    with pytest.raises(AlreadyDone):
        set_hold(by=screener, household=application.household, reason="again")
    assert forget_households(by=owner, on=date(2030, 1, 1)) == []
    with pytest.raises(NotAllowed):
        lift_hold(by=screener, household=application.household)
    assert lift_hold(by=owner, household=application.household).pk == hold.pk
    assert len(forget_households(by=owner, on=date(2030, 1, 1))) == 1
    with pytest.raises(BadInput, match="Write why"):
        set_hold(by=screener, household=application.household, reason=" ")


def test_incomes_go_before_the_file_and_the_frozen_figures_stay(
    screener: Person, volunteer: Person, owner: Person
) -> None:
    decision = eligible(screener)
    mark_helped(by=volunteer, application=decision.application)
    household = decision.application.household
    assert [row.due_on for row in dues_of(household, date(2026, 3, 15))] == [
        date(2028, 3, 15),
        date(2033, 3, 15),
    ]
    lines = forget_households(by=owner, on=date(2028, 3, 15))
    assert [(line.kept_class, line.counts) for line in lines] == [(INCOME, {"copies": 0, "incomes": 1})]
    assert not household.incomes.exists()
    decision.refresh_from_db()
    assert decision.snapshot["annual_income"] == "1424800"
    household.refresh_from_db()
    assert household.applicant_name == "Wilhelmina Quarrender"
    assert [line.kept_class for line in forget_households(by=owner, on=date(2033, 3, 15))] == [FILE_HELPED]


def test_a_shorter_rule_counts_from_its_day(screener: Person, volunteer: Person, owner: Person) -> None:
    declined(screener, volunteer, owner)
    set_rule(
        by=owner,
        name="keep_declined_months",
        value="12",
        valid_from=date(2027, 1, 1),
        reason="As our lawyer asks",
    )
    assert len(forget_households(by=owner, on=date(2027, 3, 15))) == 1


def test_the_command_tells_first_and_destroys_then(
    screener: Person, volunteer: Person, owner: Person
) -> None:
    declined(screener, volunteer, owner)
    with clock.at(date(2028, 3, 15)):
        told = run("--dry-run", "--json")
        assert json.loads(told) == [
            {
                "household": "H-0001",
                "what": FILE_DECLINED,
                "due": "2028-03-15",
                "rule": "24 months after the request ended without help",
            }
        ]
        assert not Destruction.objects.exists()
        assert Household.objects.get().phone == MARKS["phone"]
        assert "1 destroyed on 2028-03-15." in run()
        assert "0 destroyed" in run()
    assert Destruction.objects.count() == 1


def run(*words: str) -> str:
    out = StringIO()
    call_command("forget_households", *words, stdout=out)
    return out.getvalue()
