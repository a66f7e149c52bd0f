"""What a household signed stands in its own copy of what the fund holds."""

import pytest

from fund.access.models import Person
from jobs.handback.actions_refusal import refuse_unsafe
from jobs.households.queries_own import own_data
from jobs.signing.rules import Signature
from tests.jobs.workshop import checked_in, eligible, four_photos

pytestmark = pytest.mark.django_db
DRAWN = [[20, 120, 60, 40, 100, 200, 140, 40]]


def test_each_signature_is_told_with_its_day_and_how_it_was_given(
    screener: Person, volunteer: Person
) -> None:
    repair = checked_in(volunteer, eligible(screener))
    refuse_unsafe(
        by=volunteer, repair=repair, text="Hose leaks", part="fuel", signature=Signature(drawn=DRAWN)
    )
    refuse_unsafe(by=volunteer, repair=repair, text="Ball joint, 6 mm", paper=four_photos()[0])
    section = own_data(repair.household).split("What you signed\n")[1].split("\n\n")[0]
    assert section.splitlines()[1:] == [
        f"2026-03-15: {repair.number}, check-in: name typed, Owner of the tests",
        f"2026-03-15: {repair.number}, refusal of safety work: photo of the signed paper",
        f"2026-03-15: {repair.number}, refusal of safety work: signature drawn on the screen",
    ]


def test_a_household_without_a_vehicle_here_signed_nothing(screener: Person) -> None:
    assert "What you signed\n---------------\nNothing." in own_data(eligible(screener).household)
