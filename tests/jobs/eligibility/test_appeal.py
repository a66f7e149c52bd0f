import pytest

from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput, NotReady, TwoPeopleNeeded
from jobs.eligibility.actions import decide
from jobs.eligibility.actions_second import appeal
from jobs.eligibility.models import EligibilityDecision
from jobs.intake.actions import answer_relation
from jobs.intake.models import Application
from tests.jobs.intake.people import application_of_three, eligible, ready_to_decide

pytestmark = pytest.mark.django_db


@pytest.fixture
def refused(screener: Person) -> EligibilityDecision:
    return decide(
        by=screener,
        application=ready_to_decide(screener),
        verdict="not eligible",
        reasons=["not our kind of work"],
    )


def test_someone_else_looks_again_and_the_first_decision_stays(
    refused: EligibilityDecision, screener: Person, treasurer: Person
) -> None:
    application = refused.application
    asked = appeal(by=None, application=application, words="Please look at the brakes again")
    assert Application.objects.get().state == "waiting"
    for person in (screener, treasurer):
        answer_relation(by=person, application=application, tie=False)
    with pytest.raises(TwoPeopleNeeded, match="look at a decision again"):
        decide(by=screener, application=application, verdict="eligible")
    second = decide(by=treasurer, application=application, verdict="eligible")
    assert second.appeal == asked
    assert EligibilityDecision.objects.get(pk=refused.pk).verdict == "not eligible"
    with pytest.raises(NotReady, match="no decision against"):
        appeal(by=None, application=application, words="Once more")


def test_after_the_second_look_the_first_person_may_decide_on_something_new(
    refused: EligibilityDecision, screener: Person, treasurer: Person
) -> None:
    application = refused.application
    appeal(by=screener, application=application, words="Again")
    answer_relation(by=treasurer, application=application, tie=False)
    decide(by=treasurer, application=application, verdict="more papers needed", words="A title")
    answer_relation(by=screener, application=application, tie=False)
    assert decide(by=screener, application=application, verdict="eligible").appeal is None


def test_an_appeal_needs_a_decision_against_and_words_and_comes_once(
    refused: EligibilityDecision, screener: Person
) -> None:
    with pytest.raises(BadInput, match="own words"):
        appeal(by=screener, application=refused.application, words=" ")
    appeal(by=screener, application=refused.application, words="Again")
    with pytest.raises(AlreadyDone):
        appeal(by=screener, application=refused.application, words="Again")


def test_without_a_decision_or_after_a_yes_there_is_nothing_to_appeal(screener: Person) -> None:
    with pytest.raises(NotReady):
        appeal(by=screener, application=application_of_three(screener), words="Hurry")
    with pytest.raises(NotReady):
        appeal(by=screener, application=eligible(screener).application, words="Hurry")


def test_nobody_who_ever_decided_on_it_looks_again_and_the_refusal_names_who_can(
    refused: EligibilityDecision, screener: Person, treasurer: Person, owner: Person
) -> None:
    application = refused.application
    appeal(by=None, application=application, words="Look at the brakes")
    answer_relation(by=treasurer, application=application, tie=False)
    decide(by=treasurer, application=application, verdict="not eligible", reasons=["not our kind of work"])
    appeal(by=None, application=application, words="Look once more")
    for person in (screener, treasurer):
        answer_relation(by=person, application=application, tie=False)
        with pytest.raises(TwoPeopleNeeded, match=f"look at a decision again: {owner.label}\\.$"):
            decide(by=person, application=application, verdict="eligible")
    answer_relation(by=owner, application=application, tie=False)
    assert decide(by=owner, application=application, verdict="eligible").appeal is not None


def test_where_nobody_is_left_to_look_again_an_owner_adds_a_person(
    refused: EligibilityDecision, screener: Person
) -> None:
    application = refused.application
    appeal(by=None, application=application, words="Look at the brakes")
    answer_relation(by=screener, application=application, tie=False)
    with pytest.raises(TwoPeopleNeeded, match="nobody of the crew yet; an owner adds a person"):
        decide(by=screener, application=application, verdict="eligible")
