"""The first questions are asked again after a request was taken down, and a decision waits for them."""

from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from fund.refusal import BadInput, NotReady, TwoPeopleNeeded
from fund.trail.models import TrailLine
from jobs.eligibility.actions import decide, sight
from jobs.intake.actions import answer_relation, mark_helped
from jobs.intake.actions_answers import answer_questions
from jobs.intake.rules import QUESTIONS
from jobs.vehicles.actions import add_vehicle
from tests.jobs.intake.people import eligible, ready_to_decide

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Person], Client]
PAGE = "/crew/intake/A-0001/questions/"


def test_an_unanswered_request_is_eligible_once_the_answers_are_written_down(
    client_for: ClientFor, screener: Person
) -> None:
    application = ready_to_decide(screener)
    answer_questions(by=screener, application=application, answers=dict.fromkeys(QUESTIONS, ""))
    application.refresh_from_db()
    with pytest.raises(
        NotReady, match="Not answered yet: area, license, insurance, own use, still to do, title"
    ):
        decide(by=screener, application=application, verdict="eligible")
    client = client_for(screener)
    assert PAGE in client.get("/crew/intake/A-0001/decide/").text
    typed = {f"ask_{key.replace(' ', '_')}": "yes" for key in QUESTIONS}
    assert client.post(PAGE, typed)["Location"] == "/crew/intake/A-0001/"
    application.refresh_from_db()
    assert application.answers == dict.fromkeys(QUESTIONS, "yes")
    assert decide(by=screener, application=application, verdict="eligible").verdict == "eligible"


def test_what_is_left_out_stays_and_the_trail_says_which_without_the_answer(screener: Person) -> None:
    application = ready_to_decide(screener)
    changed = answer_questions(by=screener, application=application, answers={"license": "no"})
    assert changed.answers == dict.fromkeys(QUESTIONS, "yes") | {"license": "no"}
    line = TrailLine.objects.get(action="application.answers")
    assert line.text == "A-0001 of household Alder: answered again: license."


def test_unknown_answers_a_closed_request_and_a_tie_are_refused(
    screener: Person, volunteer: Person, treasurer: Person
) -> None:
    application = eligible(screener).application
    for wrong in ({"shoe size": "yes"}, {"license": "perhaps"}):
        with pytest.raises(BadInput, match="not one of ours"):
            answer_questions(by=screener, application=application, answers=wrong)
    answer_relation(by=treasurer, application=application, tie=True, words="My tenant")
    with pytest.raises(TwoPeopleNeeded, match="have a tie"):
        answer_questions(by=treasurer, application=application, answers={"license": "yes"})
    mark_helped(by=volunteer, application=application)
    with pytest.raises(NotReady, match="its answers stay as they were"):
        answer_questions(by=screener, application=application, answers={"license": "yes"})


def test_an_authority_is_entered_for_the_vehicle_it_names_and_for_no_other_households(
    client_for: ClientFor, screener: Person
) -> None:
    application = ready_to_decide(screener)
    own = add_vehicle(by=screener, household=application.household, year=2009, vehicle_class="van")
    strange = add_vehicle(
        by=screener, household=ready_to_decide(screener).household, year=2010, vehicle_class="van"
    )
    typed = {"kind": "owner authority", "document_date": "2026-03-14", "on": "2026-03-15", "vehicle": own.pk}
    page = "/crew/households/H-0001/papers/"
    assert client_for(screener).post(page, typed).status_code == 302
    assert application.household.sightings.get(kind="owner authority").vehicle == own
    assert "2009 van" in client_for(screener).get("/crew/households/H-0001/").text
    assert client_for(screener).post(page, typed | {"vehicle": strange.pk}).status_code == 422
    with pytest.raises(BadInput, match="not of household Alder"):
        sight(
            by=screener,
            household=application.household,
            kind="owner authority",
            document_date=own.household.entered_on,
            vehicle=strange,
        )
