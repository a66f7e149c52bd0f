from datetime import date
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction

from fund import clock
from fund.access.models import Person
from fund.money import Money
from fund.refusal import BadInput, NotAllowed, NotReady, TwoPeopleNeeded
from fund.rulebook.actions import set_rule
from fund.trail.models import TrailLine
from jobs.eligibility.actions import decide, sight
from jobs.eligibility.models import EligibilityDecision
from jobs.eligibility.queries import (
    eligible_applications,
    household_facts,
    latest_decision,
    standing_decision,
)
from jobs.households.actions import replace_incomes
from jobs.households.rules import IncomeFacts
from jobs.intake.actions import answer_relation, mark_helped
from jobs.intake.models import Application
from tests.jobs.intake.people import PAY, application_of_three, eligible, ready_to_decide

pytestmark = pytest.mark.django_db

LINE = Money(5_464_000)  # HHS 2026, 48 states, size 3, 200%: 27,320 x 2


def yearly(amount: Money) -> list[IncomeFacts]:
    return [IncomeFacts(kind="pay", period="yearly", amount=amount)]


def test_eligible_is_decided_and_stays_valid_for_the_days_of_the_rule(screener: Person) -> None:
    decision = eligible(screener)
    assert decision.verdict == "eligible"
    assert decision.reasons == ["income within"]
    assert decision.valid_until == date(2026, 6, 13)  # 90 days after March 15
    assert Application.objects.get().state == "eligible"
    assert decision.decided_by == screener


def test_the_decision_freezes_every_figure(screener: Person) -> None:
    decision = eligible(screener)
    assert decision.snapshot["annual_income"] == "1424800"
    assert decision.snapshot["guideline"] == 2_732_000
    assert decision.snapshot["percent"] == 200
    assert decision.snapshot["limit"] == "5464000"
    assert decision.snapshot["gap"] == "4039200"
    assert decision.snapshot["table_year"] == 2026
    assert "FR Doc. 2026-00755" in decision.snapshot["table_source"]
    assert [m["relation"] for m in decision.snapshot["members"]] == ["applicant", "child", "child"]
    assert decision.worksheet[-1] == "Under the line by $3,366 a month at size 3 ($40,392 a year)."
    assert decision.snapshot["address"] == "19 Cooper's Row, Larkwater"
    with connection.cursor() as cursor:
        cursor.execute("SELECT snapshot, words FROM jobs_eligibilitydecision")
        assert "Quarrender" not in str(cursor.fetchall())


def test_later_changes_leave_the_frozen_figures_alone(screener: Person, owner: Person) -> None:
    decision = eligible(screener)
    before = decision.snapshot
    replace_incomes(by=screener, household=decision.application.household, incomes=yearly(LINE + Money(1)))
    set_rule(
        by=owner, name="guideline_percent", value="150", valid_from=date(2026, 3, 1), reason="Tighter year"
    )
    decision.refresh_from_db()
    assert decision.snapshot is not before
    assert decision.snapshot == before


def test_deciding_again_is_a_new_decision_and_the_old_one_stays(screener: Person) -> None:
    first = eligible(screener)
    application = first.application
    replace_incomes(by=screener, household=application.household, incomes=yearly(LINE + Money(1)))
    answer_relation(by=screener, application=application, tie=False)
    with clock.at(date(2026, 3, 20)):
        second = decide(by=screener, application=application, verdict="not eligible")
        assert standing_decision(application) is None
    assert second.reasons == ["income over"]
    assert latest_decision(application) == second
    assert EligibilityDecision.objects.get(pk=first.pk).verdict == "eligible"


def test_exactly_at_the_line_is_eligible(screener: Person) -> None:
    application = ready_to_decide(screener, yearly(LINE))
    assert decide(by=screener, application=application, verdict="eligible").verdict == "eligible"


def test_one_cent_over_the_line_cannot_be_eligible(screener: Person) -> None:
    application = ready_to_decide(screener, yearly(LINE + Money(1)))
    with pytest.raises(NotReady, match="Over by less than a cent a month.*do not allow eligible"):
        decide(by=screener, application=application, verdict="eligible")
    assert not EligibilityDecision.objects.exists()
    assert Application.objects.get().state == "waiting"


def test_an_earlier_day_uses_the_table_and_percent_of_that_day(screener: Person, owner: Person) -> None:
    set_rule(
        by=owner, name="guideline_percent", value="150", valid_from=date(2025, 1, 1), reason="Starting low"
    )
    application = ready_to_decide(screener, submitted_on=date(2025, 12, 1))
    decision = decide(by=screener, application=application, verdict="eligible", on=date(2025, 12, 2))
    # HHS 2025, 48 states, size 3: 26,650; at 150% 39,975
    assert (decision.snapshot["table_year"], decision.snapshot["limit"]) == (2025, "3997500")


def test_the_relation_question_comes_first_and_anew_each_time(screener: Person) -> None:
    application = application_of_three(screener)
    with pytest.raises(NotReady, match="Answer first whether you have a tie"):
        decide(by=screener, application=application, verdict="withdrawn")
    answer_relation(by=screener, application=application, tie=False)
    decide(by=screener, application=application, verdict="withdrawn")
    with pytest.raises(NotReady, match="asked anew for each decision"):
        decide(by=screener, application=application, verdict="withdrawn")


def test_another_persons_answer_does_not_count(screener: Person, treasurer: Person) -> None:
    application = ready_to_decide(screener)
    with pytest.raises(NotReady, match="Answer first"):
        decide(by=treasurer, application=application, verdict="eligible")


def test_a_tie_takes_the_power_to_decide_away_for_good(screener: Person, treasurer: Person) -> None:
    application = ready_to_decide(screener)
    answer_relation(by=screener, application=application, tie=True, words="She is my sister-in-law")
    answer_relation(by=screener, application=application, tie=False)
    with pytest.raises(TwoPeopleNeeded, match="tie to household Alder"):
        decide(by=screener, application=application, verdict="eligible")
    with pytest.raises(TwoPeopleNeeded, match="Someone without a tie"):
        sight(
            by=screener,
            household=application.household,
            kind="pay stub",
            document_date=date(2026, 3, 1),
        )
    answer_relation(by=treasurer, application=application, tie=False)
    assert decide(by=treasurer, application=application, verdict="eligible").decided_by == treasurer


@pytest.mark.parametrize("role", ["volunteer", "accountant"])
def test_only_those_who_screen_may_decide(
    request: pytest.FixtureRequest, screener: Person, role: str
) -> None:
    application = ready_to_decide(screener)
    with pytest.raises(NotAllowed, match="screener, owner or treasurer"):
        decide(by=request.getfixturevalue(role), application=application, verdict="eligible")


def test_eligible_needs_a_paper_about_income(screener: Person) -> None:
    application = application_of_three(screener)
    replace_incomes(by=screener, household=application.household, incomes=[PAY])
    sight(by=screener, household=application.household, kind="title", document_date=date(2020, 5, 5))
    answer_relation(by=screener, application=application, tie=False)
    with pytest.raises(NotReady, match="No paper about income was sighted"):
        decide(by=screener, application=application, verdict="eligible")


def test_no_income_needs_the_story_of_rent_and_food(screener: Person) -> None:
    application = ready_to_decide(screener, incomes=[])
    with pytest.raises(NotReady, match="how rent, food and phone are paid"):
        decide(by=screener, application=application, verdict="eligible")
    replace_incomes(
        by=screener,
        household=application.household,
        incomes=[],
        no_income_words="A sister pays rent and phone, the pantry gives food.",
    )
    with pytest.raises(NotReady, match="signs a statement"):
        decide(by=screener, application=application, verdict="eligible")
    sight(
        by=screener,
        household=application.household,
        kind="signed statement",
        document_date=date(2026, 3, 14),
    )
    decision = decide(by=screener, application=application, verdict="eligible")
    assert decision.snapshot["annual_income"] == "0"


def test_eligible_needs_the_yes_to_the_work(screener: Person) -> None:
    application = ready_to_decide(screener)
    application.consents = {"data": True}
    application.save()
    with pytest.raises(NotReady, match="has not agreed that the crew may work"):
        decide(by=screener, application=application, verdict="eligible")


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"verdict": "perhaps"}, "Choose one verdict"),
        ({"verdict": "eligible", "reasons": ["helped lately"]}, "speaks against eligible"),
        ({"verdict": "not eligible"}, "Choose the reason why it is still not eligible"),
        ({"verdict": "not eligible", "reasons": ["bad mood"]}, "not one of the reasons"),
        ({"verdict": "more papers needed"}, "which papers are needed"),
        ({"verdict": "eligible", "on": date(2026, 3, 16)}, "still to come"),
        ({"verdict": "eligible", "on": date(2026, 3, 1)}, "asked on 2026-03-15"),
    ],
)
def test_a_decision_that_does_not_hold_together_is_refused(
    screener: Person, given: dict[str, Any], words: str
) -> None:
    application = ready_to_decide(screener)
    with pytest.raises(BadInput, match=words):
        decide(by=screener, application=application, **given)
    assert not EligibilityDecision.objects.exists()


def test_a_decision_is_not_dated_before_the_one_it_follows(screener: Person) -> None:
    application = eligible(screener, submitted_on=date(2026, 3, 1), on=date(2026, 3, 10)).application
    answer_relation(by=screener, application=application, tie=False)
    with pytest.raises(BadInput, match="The decision before this one is of 2026-03-10"):
        decide(by=screener, application=application, verdict="withdrawn", on=date(2026, 3, 9))


def test_within_the_line_can_still_be_refused_for_a_written_reason(screener: Person) -> None:
    application = ready_to_decide(screener)
    decision = decide(
        by=screener,
        application=application,
        verdict="not eligible",
        reasons=["income within", "not the owner"],
    )
    assert decision.reasons == ["not the owner"]
    assert decision.reason_words == ["the vehicle is not the household's"]
    assert decision.valid_until is None


def test_the_trail_tells_the_verdict_and_no_figure(screener: Person) -> None:
    eligible(screener)
    line = TrailLine.objects.get(action="eligibility.decide")
    assert line.text == "A-0001 of household Alder: eligible. Reasons: income within."


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE jobs_eligibilitydecision SET verdict = 'not eligible'",
        "UPDATE jobs_eligibilitydecision SET digest = 'x', snapshot = ''",
        "UPDATE jobs_eligibilitydecision SET valid_until = NULL",
        "DELETE FROM jobs_eligibilitydecision",
    ],
)
def test_the_database_refuses_to_change_a_decision(screener: Person, sql: str) -> None:
    eligible(screener)
    with pytest.raises(DatabaseError, match="what is written stays"), transaction.atomic():
        connection.cursor().execute(sql)
    assert EligibilityDecision.objects.get().verdict == "eligible"


def test_update_and_delete_through_the_program_are_refused_too(screener: Person) -> None:
    decision = eligible(screener)
    with pytest.raises(DatabaseError, match="what is written stays"), transaction.atomic():
        EligibilityDecision.objects.update(on=date(2026, 3, 1))
    with pytest.raises(DatabaseError, match="what is written stays"), transaction.atomic():
        decision.delete()


def test_eligible_requests_wait_for_a_repair_order_until_their_last_day(screener: Person) -> None:
    application = eligible(screener).application
    assert list(eligible_applications()) == [application]
    assert list(eligible_applications(date(2026, 6, 13))) == [application]
    assert list(eligible_applications(date(2026, 6, 14))) == []
    assert standing_decision(application, date(2026, 6, 13)) is not None
    assert standing_decision(application, date(2026, 6, 14)) is None


def test_an_approver_gets_the_facts_without_the_papers(screener: Person, volunteer: Person) -> None:
    first = eligible(screener).application
    facts = household_facts(first)
    assert (facts.alias, facts.size, facts.percent_band) == ("Alder", 3, "50% to 100% of the guideline")
    assert (facts.verdict, facts.in_date, facts.past_repairs) == ("eligible", True, 0)
    assert (facts.decided_by, facts.valid_until) == ("Ines Moreau", date(2026, 6, 13))
    mark_helped(by=volunteer, application=first)
    again = application_of_three(screener)
    Application.objects.filter(pk=again.pk).update(household=first.household)
    again.refresh_from_db()
    answer_relation(by=volunteer, application=again, tie=True, words="My landlord")
    facts = household_facts(again)
    assert (facts.past_repairs, facts.verdict, facts.ties) == (1, "not decided", ["Tavi Brandt"])
