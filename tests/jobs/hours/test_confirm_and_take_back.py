"""Hours entered for somebody else, and hours that were wrong."""

from datetime import date

import pytest
from django.db import DatabaseError, connection, transaction

from fund.access.models import Person
from fund.ledger import chart
from fund.ledger.queries import balance
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotAllowed
from fund.rulebook.actions import set_rule
from jobs.hours.actions import add_hours, confirm_hours, share_hours, take_back_hours
from jobs.hours.models import HoursEntry, Skill
from jobs.hours.queries import all_hours, hours_of_repair, standing, waiting_for
from jobs.repairs.models import RepairOrder

TODAY = date(2026, 3, 15)


@pytest.fixture
def for_jun(repair: RepairOrder, volunteer: Person, volunteer2: Person, mechanic: Skill) -> HoursEntry:
    return add_hours(by=volunteer, repair=repair, person=volunteer2, on=TODAY, tenths=18, skill=mechanic)


def test_hours_for_someone_else_wait_for_their_yes(
    for_jun: HoursEntry, volunteer: Person, volunteer2: Person
) -> None:
    assert not for_jun.confirmed
    assert list(waiting_for(volunteer2)) == [for_jun]
    assert list(waiting_for(volunteer)) == []
    confirm_hours(by=volunteer2, hours=for_jun)
    assert all_hours().get(pk=for_jun.pk).confirmed
    assert list(waiting_for(volunteer2)) == []


def test_only_the_person_confirms(for_jun: HoursEntry, volunteer: Person, owner: Person) -> None:
    for other in (volunteer, owner):
        with pytest.raises(NotAllowed, match="Only Jun Okafor can confirm"):
            confirm_hours(by=other, hours=for_jun)


def test_confirming_twice_is_told(for_jun: HoursEntry, volunteer2: Person) -> None:
    confirm_hours(by=volunteer2, hours=for_jun)
    with pytest.raises(AlreadyDone, match="already confirmed"):
        confirm_hours(by=volunteer2, hours=for_jun)


def test_hours_of_two_are_split_and_both_kept(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, mechanic: Skill
) -> None:
    rows = share_hours(
        by=volunteer, repair=repair, people=[volunteer, volunteer2], on=TODAY, tenths=25, skill=mechanic
    )
    assert [(row.person, row.tenths) for row in rows] == [(volunteer, 13), (volunteer2, 12)]
    assert hours_of_repair(repair).tenths == 25


def test_a_split_that_fails_for_one_keeps_neither(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, helper: Skill
) -> None:
    add_hours(
        by=volunteer2, repair=None, person=volunteer2, on=TODAY, tenths=160, skill=helper, work="office"
    )
    with pytest.raises(BadInput, match="Jun Okafor already has 16.0 h"):
        share_hours(
            by=volunteer, repair=repair, people=[volunteer, volunteer2], on=TODAY, tenths=20, skill=helper
        )
    assert hours_of_repair(repair).tenths == 0


def test_the_same_person_twice_is_refused(repair: RepairOrder, volunteer: Person, helper: Skill) -> None:
    with pytest.raises(BadInput, match="named twice"):
        share_hours(
            by=volunteer, repair=repair, people=[volunteer, volunteer], on=TODAY, tenths=20, skill=helper
        )


def test_a_tenth_cannot_be_split(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, helper: Skill
) -> None:
    with pytest.raises(BadInput, match="too little to split"):
        share_hours(
            by=volunteer, repair=repair, people=[volunteer, volunteer2], on=TODAY, tenths=1, skill=helper
        )


def test_hours_taken_back_leave_both_rows_and_no_hours(
    for_jun: HoursEntry, repair: RepairOrder, volunteer: Person, volunteer2: Person
) -> None:
    row = take_back_hours(by=volunteer, hours=for_jun, reason="It was 0.8 h")
    assert (row.tenths, row.value, row.reverses) == (-18, Money(-51_86), for_jun)
    assert hours_of_repair(repair).tenths == 0
    assert hours_of_repair(repair).value == Money.zero
    assert list(waiting_for(volunteer2)) == []
    assert not standing(HoursEntry.objects.all()).exists()


def test_hours_are_taken_back_once(for_jun: HoursEntry, volunteer: Person) -> None:
    opposite = take_back_hours(by=volunteer, hours=for_jun, reason="Wrong day")
    for row in (for_jun, opposite):
        with pytest.raises(AlreadyDone, match="already taken back"):
            take_back_hours(by=volunteer, hours=row, reason="Again")


def test_taking_back_needs_a_reason(for_jun: HoursEntry, volunteer: Person) -> None:
    with pytest.raises(BadInput, match="Say in a few words why"):
        take_back_hours(by=volunteer, hours=for_jun, reason="  ")


def test_a_stranger_to_the_hours_cannot_take_them_back(
    for_jun: HoursEntry, screener: Person, owner: Person
) -> None:
    with pytest.raises(NotAllowed, match="Only Jun Okafor, Tavi Brandt, an owner or a treasurer"):
        take_back_hours(by=screener, hours=for_jun, reason="No")
    assert take_back_hours(by=owner, hours=for_jun, reason="Entered twice").tenths == -18


def test_posted_hours_are_taken_back_in_the_books_too(
    repair: RepairOrder, owner: Person, volunteer: Person, mechanic: Skill
) -> None:
    set_rule(
        by=owner, name="skilled_hours_posted", value="yes", valid_from=TODAY, reason="The accountant asked."
    )
    row = add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=24, skill=mechanic)
    assert balance(chart.LABOR) == Money(69_14)
    take_back_hours(by=volunteer, hours=row, reason="Not that car")
    assert balance(chart.LABOR) == Money.zero
    assert balance(chart.GIFTS_LABOR) == Money.zero


def test_a_day_freed_by_taking_back_can_be_filled_again(volunteer: Person, helper: Skill) -> None:
    full = add_hours(
        by=volunteer, repair=None, person=volunteer, on=TODAY, tenths=160, skill=helper, work="office"
    )
    take_back_hours(by=volunteer, hours=full, reason="Meant 6.0")
    again = add_hours(
        by=volunteer, repair=None, person=volunteer, on=TODAY, tenths=60, skill=helper, work="office"
    )
    assert again.code == "T-00003"


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE jobs_hoursentry SET tenths = 99",
        "DELETE FROM jobs_hoursentry",
        "UPDATE jobs_rate SET amount = 1",
        "DELETE FROM jobs_rate",
    ],
)
def test_the_database_refuses_to_change_hours_and_rates(for_jun: HoursEntry, sql: str) -> None:
    with (
        pytest.raises(DatabaseError, match="what is written stays"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(sql)
