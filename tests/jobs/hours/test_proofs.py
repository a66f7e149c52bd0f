"""check_books notices hours that were written past the program."""

from datetime import date

import pytest

from fund.access.models import Person
from fund.money import Money
from fund.rulebook.actions import set_rule
from jobs.hours.actions import add_hours, take_back_hours
from jobs.hours.models import HoursEntry, Skill
from jobs.hours.proofs import hours_breaks
from jobs.repairs.models import RepairOrder

TODAY = date(2026, 3, 15)


@pytest.fixture
def posted(repair: RepairOrder, owner: Person, volunteer: Person, mechanic: Skill) -> HoursEntry:
    set_rule(
        by=owner, name="skilled_hours_posted", value="yes", valid_from=TODAY, reason="The accountant asked."
    )
    return add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=24, skill=mechanic)


def test_hours_as_entered_and_taken_back_hold(posted: HoursEntry, volunteer: Person) -> None:
    take_back_hours(by=volunteer, hours=posted, reason="Wrong car")
    assert list(hours_breaks()) == []


def test_a_row_with_a_value_of_its_own_is_named(posted: HoursEntry) -> None:
    """The guard refuses a change, so the wrong row is a new one written around the action."""
    posted.pk, posted.id, posted.code, posted.value = None, None, "T-00002", Money(70_00)
    posted.save(force_insert=True)
    assert list(hours_breaks()) == [
        "Hours T-00002 are valued at 70.00; 24 tenths at their rate are 69.14.",
        f"Hours T-00002 are worth 70.00, but entry {posted.entry_id} booked 69.14.",
    ]
