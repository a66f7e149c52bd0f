import pytest
from django.db import DatabaseError, connection, transaction

from fund.access.models import Person
from fund.refusal import BadInput, NotAllowed
from jobs.intake.actions import answer_relation
from jobs.intake.models import RelationAnswer
from jobs.intake.queries import tied
from tests.jobs.intake.people import application_of_three

pytestmark = pytest.mark.django_db


def test_anyone_of_the_crew_can_be_asked_and_each_answer_stays(screener: Person, volunteer: Person) -> None:
    application = application_of_three(screener)
    answer_relation(by=volunteer, application=application, tie=True, words="My cousin")
    answer_relation(by=volunteer, application=application, tie=False)
    assert [a.tie for a in RelationAnswer.objects.filter(person=volunteer)] == [True, False]
    assert tied(volunteer, application.household)
    assert not tied(screener, application.household)


def test_a_tie_needs_words(screener: Person) -> None:
    with pytest.raises(BadInput, match="how you are tied"):
        answer_relation(by=screener, application=application_of_three(screener), tie=True)


def test_someone_without_a_role_is_not_asked(screener: Person) -> None:
    stranger = Person.objects.create_user("nobody")
    with pytest.raises(NotAllowed):
        answer_relation(by=stranger, application=application_of_three(screener), tie=False)


@pytest.mark.parametrize(
    "sql", ["UPDATE jobs_relationanswer SET tie = false", "DELETE FROM jobs_relationanswer"]
)
def test_the_database_keeps_every_answer(screener: Person, sql: str) -> None:
    answer_relation(by=screener, application=application_of_three(screener), tie=True, words="Neighbor")
    with pytest.raises(DatabaseError, match="what is written stays"), transaction.atomic():
        connection.cursor().execute(sql)
    assert RelationAnswer.objects.get().tie
