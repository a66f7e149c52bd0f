"""A picture or story that went out with a plate, a child, a face in it: pulled, made unreadable, written down."""

from collections.abc import Callable
from datetime import date

import pytest
from django.db import DatabaseError, transaction
from django.test import Client

from fund.access.models import Person
from fund.ledger.models import Entry
from fund.refusal import BadInput
from fund.trail.models import TrailLine
from jobs.households.actions_put_right import put_right
from jobs.households.models import Household
from jobs.households.models_keep import PutRight
from jobs.households.queries_own import own_data
from tests.jobs.intake.people import application_of_three

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Person], Client]
TYPED = {
    "showed": "plate",
    "where": "video of March, 2:10",
    "done": "blurred",
    "on": "2026-03-14",
    "words": "Two shares stay.",
}


@pytest.fixture
def household(screener: Person) -> Household:
    return application_of_three(screener).household


def test_a_plate_in_a_published_photo_is_blurred_and_shown_again_and_the_books_know_nothing_of_it(
    household: Household, screener: Person, client_for: ClientFor
) -> None:
    entries = Entry.objects.count()
    url = f"/crew/households/{household.code}/"
    assert client_for(screener).post(f"{url}put-right/", TYPED)["Location"] == url
    row = PutRight.objects.get()
    assert (row.showed, row.where, row.done, row.on) == (
        "plate",
        TYPED["where"],
        "blurred",
        date(2026, 3, 14),
    )
    assert Entry.objects.count() == entries
    page = client_for(screener).get(url).content.decode()
    assert "a license plate was to be seen (video of March, 2:10); made unreadable and shown again" in page
    told = TrailLine.objects.get(action="household.put_right").text
    assert (
        told
        == "Household Alder: a license plate was to be seen; made unreadable and shown again on 2026-03-14."
    )
    assert "made unreadable and shown again. Two shares stay." in own_data(household)


def test_what_is_wrong_is_told_and_stays_typed(
    household: Household, screener: Person, client_for: ClientFor
) -> None:
    url = f"/crew/households/{household.code}/put-right/"
    answer = client_for(screener).post(url, TYPED | {"on": "2026-03-16"})
    assert answer.status_code == 422
    assert "has not come yet" in answer.content.decode()
    assert "video of March, 2:10" in answer.content.decode()
    assert not PutRight.objects.exists()


@pytest.mark.parametrize(
    "wrong", [{"showed": "dog"}, {"done": "nothing"}, {"where": " "}, {"on": date(2026, 3, 16)}]
)
def test_the_action_refuses_what_says_nothing(
    household: Household, screener: Person, wrong: dict[str, object]
) -> None:
    facts = {"showed": "child", "where": "the page of March", "done": "pulled"} | wrong
    with pytest.raises(BadInput):
        put_right(by=screener, household=household, **facts)  # type: ignore[arg-type]


def test_it_stays_as_it_was_written(household: Household, screener: Person) -> None:
    put_right(by=screener, household=household, showed="child", where="the page of March", done="pulled")
    with pytest.raises(DatabaseError, match="what is written stays"), transaction.atomic():
        PutRight.objects.update(done="asked")
