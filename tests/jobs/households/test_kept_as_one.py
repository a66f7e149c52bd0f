"""A household under two records is held, kept and destroyed as one."""

from datetime import date

import pytest

from fund import clock
from fund.access.models import Person
from jobs.eligibility.actions import decide, sight
from jobs.eligibility.models import EligibilityDecision
from jobs.households.actions import replace_incomes
from jobs.households.actions_consent import change_consent
from jobs.households.actions_keep import forget_households, lift_hold, set_hold
from jobs.households.models import Household, Income
from jobs.households.models_keep import Hold
from jobs.households.queries_keep import standing_hold
from jobs.households.rules_keep import FILE_DECLINED, FILE_HELPED, INCOME
from jobs.intake.actions import answer_relation, mark_helped, open_application
from jobs.intake.actions_same import merge_households, unmerge_households
from jobs.intake.models import Application
from jobs.intake.models_same import Merging
from tests.jobs.intake.people import PAY, asking, eligible, ready_to_decide

pytestmark = pytest.mark.django_db


@pytest.fixture
def one_of_two(screener: Person, volunteer: Person) -> Merging:
    """A household that was helped, and its second record with incomes and a hold of its own, merged into it."""
    decision = eligible(screener)
    mark_helped(by=volunteer, application=decision.application)
    again = open_application(by=screener, asking=asking(name="Ozias Thimble", phone="212 555 0199"))
    replace_incomes(by=screener, household=again.household, incomes=[PAY], no_income_words="My aunt pays.")
    set_hold(by=screener, household=again.household, reason="The insurer asks")
    Application.objects.filter(pk=again.pk).update(state="withdrawn", withdrawn_on=date(2026, 3, 15))
    kept = decision.application.household
    return merge_households(by=screener, kept=kept, other=again.household, reason="Told us so.")


def test_a_hold_on_a_merged_record_stops_all_destruction(one_of_two: Merging, owner: Person) -> None:
    assert forget_households(by=owner, on=date(2040, 1, 1)) == []
    for household in Household.objects.all():
        hold = standing_hold(household)
        assert hold is not None
        assert hold.reason == "The insurer asks"
        assert household.applicant_name
    lift_hold(by=owner, household=Household.objects.get(pk=one_of_two.kept_id))
    assert [line.kept_class for line in forget_households(by=owner, on=date(2040, 1, 1))] == [
        INCOME,
        FILE_HELPED,
    ]


def test_the_incomes_of_both_records_go_on_one_day(one_of_two: Merging, owner: Person) -> None:
    lift_hold(by=owner, household=Household.objects.get(pk=one_of_two.kept_id))
    lines = forget_households(by=owner, on=date(2028, 3, 15))
    assert [(line.kept_class, line.counts["incomes"]) for line in lines] == [(INCOME, 2)]
    assert not Income.objects.exists()
    assert {row.no_income_words for row in Household.objects.all()} == {""}


def test_parting_leaves_each_hold_with_its_record(one_of_two: Merging, screener: Person) -> None:
    Hold.objects.update(set_on=date(2026, 3, 1))
    unmerge_households(by=screener, merging=one_of_two, reason="Two after all.")
    kept = Household.objects.get(pk=one_of_two.kept_id)
    assert standing_hold(kept) is None
    assert standing_hold(one_of_two.other) is not None


def test_a_hold_set_while_they_were_one_stands_on_both_after_parting(
    one_of_two: Merging, screener: Person, owner: Person
) -> None:
    kept = Household.objects.get(pk=one_of_two.kept_id)
    lift_hold(by=owner, household=kept)
    with clock.at(date(2026, 4, 1)):
        set_hold(by=screener, household=kept, reason="A claim")
        unmerge_households(by=screener, merging=one_of_two, reason="Two after all.")
    holds = [standing_hold(row) for row in Household.objects.all()]
    assert [(hold.reason, hold.set_on) for hold in holds if hold] == [("A claim", date(2026, 4, 1))] * 2


def test_a_decline_long_after_a_help_is_kept_for_a_second_look(
    screener: Person, volunteer: Person, owner: Person
) -> None:
    decision = eligible(screener)
    household = decision.application.household
    mark_helped(by=volunteer, application=decision.application)
    with clock.at(date(2033, 4, 1)):
        told = asking(complaint="Leaks.")
        again = open_application(by=screener, asking=told, household=household)
        answer_relation(by=screener, application=again, tie=False)
        decide(
            by=screener,
            application=again,
            verdict="not eligible",
            reasons=["not our kind of work"],
            words="A boat.",
        )
        assert forget_households(by=owner) == []
    assert EligibilityDecision.objects.filter(application=again).get().snapshot is not None
    lines = forget_households(by=owner, on=date(2035, 4, 1))
    assert [line.kept_class for line in lines] == [INCOME, FILE_HELPED]
    assert {line.rule for line in lines} == {"24 months after the request ended without help"}


def forgotten_on(owner: Person, *days: date) -> list[list[str]]:
    return [[line.kept_class for line in forget_households(by=owner, on=day)] for day in days]


def test_a_yes_that_ran_out_ends_the_request_with_its_last_day(screener: Person, owner: Person) -> None:
    decision = eligible(screener)
    assert decision.valid_until == date(2026, 6, 13)
    assert forgotten_on(owner, date(2028, 6, 12), date(2028, 6, 13)) == [[], [FILE_DECLINED]]
    decision.application.refresh_from_db()
    assert (decision.application.state, decision.application.withdrawn_on) == ("withdrawn", date(2028, 6, 13))


def test_papers_are_waited_for_as_long_as_a_yes_is_good(screener: Person, owner: Person) -> None:
    application = ready_to_decide(screener)
    decide(
        by=screener,
        application=application,
        verdict="more papers needed",
        reasons=["papers missing"],
        words="A stub.",
    )
    with clock.at(date(2026, 4, 1)):
        sight(
            by=screener,
            household=application.household,
            kind="pay stub",
            document_date=date(2026, 3, 20),
        )
    assert forgotten_on(owner, date(2028, 6, 29), date(2028, 6, 30)) == [[], [FILE_DECLINED]]


def test_a_consent_to_the_data_taken_back_starts_the_time_of_keeping(screener: Person, owner: Person) -> None:
    application = ready_to_decide(screener)
    with clock.at(date(2026, 4, 1)):
        change_consent(by=None, application=application, key="data", given=False)
    assert forgotten_on(owner, date(2028, 3, 31), date(2028, 4, 1)) == [[], [FILE_DECLINED]]


def test_a_consent_to_the_data_given_again_lets_the_request_go_on(screener: Person, owner: Person) -> None:
    application = ready_to_decide(screener)
    for given in (False, True):
        change_consent(by=None, application=application, key="data", given=given)
    Application.objects.filter(pk=application.pk).update(state="waiting", withdrawn_on=None)
    assert forgotten_on(owner, date(2040, 1, 1)) == [[]]


def test_a_household_that_asks_again_while_the_run_is_on_keeps_all(
    screener: Person, owner: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    application = ready_to_decide(screener)
    Application.objects.filter(pk=application.pk).update(state="withdrawn")

    def late(on: date) -> list[tuple[Household, list[object]]]:
        open_application(by=screener, asking=asking(complaint="Leaks."), household=application.household)
        return [(application.household, [])]

    monkeypatch.setattr("jobs.households.actions_keep.due_on", late)
    assert forgotten_on(owner, date(2028, 3, 15)) == [[]]
