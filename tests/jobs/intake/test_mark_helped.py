from datetime import date

import pytest

from fund.access.models import Person
from fund.refusal import NotAllowed, NotReady
from jobs.eligibility.actions import decide
from jobs.intake.actions import answer_relation, mark_helped
from tests.jobs.intake.people import application_of_three, eligible

pytestmark = pytest.mark.django_db


def test_an_eligible_request_is_helped_once(screener: Person, volunteer: Person) -> None:
    application = eligible(screener).application
    done = mark_helped(by=volunteer, application=application, on=date(2026, 3, 14))
    assert (done.state, done.helped_on) == ("helped", date(2026, 3, 14))
    assert mark_helped(by=volunteer, application=application).helped_on == date(2026, 3, 14)


def test_a_waiting_request_is_not_helped(screener: Person, volunteer: Person) -> None:
    with pytest.raises(NotReady, match="only an eligible request"):
        mark_helped(by=volunteer, application=application_of_three(screener))


def test_a_screener_hands_nothing_back(screener: Person) -> None:
    with pytest.raises(NotAllowed, match="owner or volunteer|volunteer or owner"):
        mark_helped(by=screener, application=eligible(screener).application)


def test_a_helped_request_is_not_decided_again(screener: Person, volunteer: Person) -> None:
    application = eligible(screener).application
    mark_helped(by=volunteer, application=application)
    answer_relation(by=screener, application=application, tie=False)
    with pytest.raises(NotReady, match="was helped already"):
        decide(by=screener, application=application, verdict="withdrawn")
