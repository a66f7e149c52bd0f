from datetime import date

import pytest

from fund import clock
from fund.access.models import Person
from jobs.eligibility.actions import decide
from jobs.eligibility.queries import asking_in_month
from jobs.intake.actions import answer_relation, open_application
from jobs.intake.queries import AskingInMonth, applications, waiting_list
from jobs.intake.rules import in_the_way, to_ask_again
from tests.jobs.intake.people import asking, eligible

pytestmark = pytest.mark.django_db


def test_safety_comes_before_need_and_need_before_date(screener: Person) -> None:
    told = [
        ("errands", "other", "yes", date(2026, 3, 1)),
        ("work, later", "work", "yes", date(2026, 3, 9)),
        ("work, earlier", "work", "no", date(2026, 3, 5)),
        ("dialysis", "treatment", "yes", date(2026, 3, 12)),
        ("unsafe, errands", "other", "unsafe", date(2026, 3, 14)),
    ]
    for complaint, need, drivable, on in told:
        open_application(
            by=screener,
            asking=asking(complaint=complaint, need=need, drivable=drivable),
            submitted_on=on,
        )
    order = [application.complaint for application in waiting_list()]
    assert order == ["unsafe, errands", "dialysis", "work, earlier", "work, later", "errands"]


def test_what_was_decided_against_leaves_the_waiting_list_but_not_the_list(screener: Person) -> None:
    application = open_application(by=screener, asking=asking())
    answer_relation(by=screener, application=application, tie=False)
    decide(by=screener, application=application, verdict="withdrawn")
    later = open_application(by=screener, asking=asking(complaint="Stalls."))
    assert list(waiting_list()) == [later]
    assert list(applications()) == [later, application]


def test_a_no_to_a_first_question_and_an_open_one_are_named() -> None:
    answers = {"lives here": "yes", "own vehicle": "no", "license": "not sure"}
    assert in_the_way(answers) == ["Is the title in your name, or in the name of someone in your household?"]
    assert len(to_ask_again(answers)) == 5


def test_the_month_counts_requests_by_what_became_of_them(screener: Person) -> None:
    with clock.at(date(2026, 1, 20)):
        eligible(screener)
        gone = open_application(by=screener, asking=asking(complaint="Leaks."))
        answer_relation(by=screener, application=gone, tie=False)
    with clock.at(date(2026, 2, 3)):
        decide(by=screener, application=gone, verdict="withdrawn", reasons=["no answer"])
    january = asking_in_month(date(2026, 1, 1), date(2026, 1, 31))
    february = asking_in_month(date(2026, 2, 1), date(2026, 2, 28))
    assert january == AskingInMonth(asked=2, eligible=1, not_eligible=0, withdrawn=0, helped=0, waiting=2)
    assert february == AskingInMonth(asked=0, eligible=0, not_eligible=0, withdrawn=1, helped=0, waiting=1)
