from collections.abc import Callable

from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.trail.actions import record


def test_the_trail_can_be_searched_by_word_and_person(
    accountant: Person, treasurer: Person, owner: Person, client_for: Callable[[Person], Client]
) -> None:
    record(by=treasurer, action="gift.record", subject="G-00001", text="A gift of 20.00 was recorded.")
    record(by=owner, action="month.close", subject="2026-02", text="The month was closed.")
    client = client_for(accountant)
    found = client.get(reverse("trail:lines"), {"words": "gift", "by": str(treasurer.pk)}).content.decode()
    assert "G-00001" in found
    assert "2026-02" not in found


def test_a_volunteer_does_not_see_the_trail(
    volunteer: Person, client_for: Callable[[Person], Client]
) -> None:
    assert client_for(volunteer).get(reverse("trail:lines")).status_code == 403
