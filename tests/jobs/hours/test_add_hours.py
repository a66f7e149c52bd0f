"""Entering donated hours."""

from datetime import date

import pytest

from fund import clock
from fund.access.models import Person
from fund.ledger import chart
from fund.ledger.actions import close_month
from fund.ledger.models import Entry
from fund.ledger.queries import balance, cost_of
from fund.money import Money
from fund.refusal import BadInput, NotAllowed, NotReady
from fund.rulebook.actions import set_rule
from fund.trail.models import TrailLine
from jobs.hours.actions import add_hours, add_rate
from jobs.hours.models import HoursEntry, Skill
from jobs.hours.queries import hours_between, hours_of_repair
from jobs.repairs.models import RepairOrder
from tests.jobs.workshop import money_in_bank

TODAY = date(2026, 3, 15)


def test_skilled_hours_are_valued_at_the_rate_of_the_day(
    repair: RepairOrder, volunteer: Person, mechanic: Skill
) -> None:
    """BLS, Occupational Employment and Wage Statistics, 49-3031: mean 28.81 in May 2023. 2.4 x 28.81 = 69.144."""
    row = add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=24, skill=mechanic)
    assert (row.code, row.rate, row.value, row.hours) == ("T-00001", Money(28_81), Money(69_14), "2.4")
    assert row.confirmed


def test_an_older_day_takes_the_older_rate(volunteer: Person, mechanic: Skill) -> None:
    """The same publication, May 2018: mean 23.63. 10 h are 236.30."""
    with clock.at(date(2022, 6, 3)):
        row = add_hours(
            by=volunteer,
            repair=None,
            person=volunteer,
            on=date(2022, 6, 1),
            tenths=100,
            skill=mechanic,
            work="office",
        )
    assert row.value == Money(236_30)


def test_before_the_first_rate_there_is_nothing_to_value_by(volunteer: Person, mechanic: Skill) -> None:
    with clock.at(date(2018, 5, 2)), pytest.raises(NotReady, match="no rate for “Mechanic” on Apr 30, 2018"):
        add_hours(
            by=volunteer,
            repair=None,
            person=volunteer,
            on=date(2018, 4, 30),
            tenths=1,
            skill=mechanic,
            work="office",
        )


def test_helping_hands_are_counted_and_not_valued(
    repair: RepairOrder, volunteer: Person, mechanic: Skill, helper: Skill
) -> None:
    add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=10, skill=mechanic)
    row = add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=15, skill=helper)
    assert (row.rate, row.value) == (None, Money.zero)
    sums = hours_of_repair(repair)
    assert (sums.tenths, sums.skilled_tenths, sums.value) == (25, 10, Money(28_81))


def test_hours_are_a_memo_while_the_fund_does_not_post_them(
    repair: RepairOrder, volunteer: Person, mechanic: Skill
) -> None:
    entries = Entry.objects.count()
    row = add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=24, skill=mechanic)
    assert row.entry is None
    assert Entry.objects.count() == entries


def test_posted_hours_are_equal_gift_and_cost_and_never_the_repairs_cash_cost(
    repair: RepairOrder, owner: Person, volunteer: Person, mechanic: Skill
) -> None:
    """FASB ASC 958-605-25-16: income and expense of the same amount, so net assets do not move."""
    set_rule(
        by=owner, name="skilled_hours_posted", value="yes", valid_from=TODAY, reason="The accountant asked."
    )
    bank = balance(chart.BANK)
    row = add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=24, skill=mechanic)
    assert balance(chart.LABOR) == Money(69_14)
    assert balance(chart.GIFTS_LABOR) == Money(-69_14)
    assert balance(chart.BANK) == bank
    assert cost_of(repair.number) == Money.zero
    assert row.entry is not None
    assert {line.cost_object_id for line in row.entry.lines.all()} == {repair.number}


def test_helping_hands_are_never_posted(
    repair: RepairOrder, owner: Person, volunteer: Person, helper: Skill
) -> None:
    set_rule(
        by=owner, name="skilled_hours_posted", value="yes", valid_from=TODAY, reason="The accountant asked."
    )
    assert (
        add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=24, skill=helper).entry
        is None
    )


def test_more_than_sixteen_hours_a_day_in_all_are_refused(
    repair: RepairOrder, volunteer: Person, mechanic: Skill, helper: Skill
) -> None:
    add_hours(by=volunteer, repair=None, person=volunteer, on=TODAY, tenths=100, skill=helper, work="office")
    add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=60, skill=mechanic)
    with pytest.raises(BadInput, match="Tavi Brandt already has 16.0 h on Mar 15, 2026"):
        add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=1, skill=mechanic)
    assert HoursEntry.objects.count() == 2


def test_a_day_to_come_is_refused(repair: RepairOrder, volunteer: Person, mechanic: Skill) -> None:
    with pytest.raises(BadInput, match="Mar 16, 2026 has not come yet"):
        add_hours(
            by=volunteer, repair=repair, person=volunteer, on=date(2026, 3, 16), tenths=10, skill=mechanic
        )


def test_a_day_before_check_in_is_refused(repair: RepairOrder, volunteer: Person, mechanic: Skill) -> None:
    with pytest.raises(BadInput, match="The vehicle came in on Mar 15, 2026"):
        add_hours(
            by=volunteer, repair=repair, person=volunteer, on=date(2026, 3, 14), tenths=10, skill=mechanic
        )


@pytest.mark.parametrize("tenths", [0, -1, 1.25, True])
def test_tenths_are_whole_and_above_zero(
    repair: RepairOrder, volunteer: Person, mechanic: Skill, tenths: object
) -> None:
    with pytest.raises(BadInput, match="whole tenths"):
        add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=tenths, skill=mechanic)  # type: ignore[arg-type]


def test_work_on_a_vehicle_names_its_repair(volunteer: Person, mechanic: Skill) -> None:
    with pytest.raises(BadInput, match="Say which repair"):
        add_hours(by=volunteer, repair=None, person=volunteer, on=TODAY, tenths=10, skill=mechanic)


def test_the_accountant_enters_no_hours(accountant: Person, volunteer: Person, mechanic: Skill) -> None:
    with pytest.raises(NotAllowed, match="enter hours"):
        add_hours(
            by=accountant, repair=None, person=volunteer, on=TODAY, tenths=1, skill=mechanic, work="office"
        )


def test_hours_of_someone_who_left_are_refused(
    volunteer: Person, volunteer2: Person, mechanic: Skill
) -> None:
    volunteer2.is_active = False
    volunteer2.save()
    with pytest.raises(BadInput, match="no longer on the crew"):
        add_hours(
            by=volunteer, repair=None, person=volunteer2, on=TODAY, tenths=1, skill=mechanic, work="office"
        )


def test_a_new_rate_leaves_hours_already_entered_as_they_were(
    repair: RepairOrder, owner: Person, volunteer: Person, mechanic: Skill
) -> None:
    before = add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=10, skill=mechanic)
    add_rate(
        by=owner, skill=mechanic, amount=Money(31_00), basis="Wage", source="Crew meeting", valid_from=TODAY
    )
    after = add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=10, skill=mechanic)
    before.refresh_from_db()
    assert (before.value, after.value) == (Money(28_81), Money(31_00))


def test_hours_of_a_closed_month_count_in_the_first_open_one(
    treasurer: Person, volunteer: Person, helper: Skill
) -> None:
    with clock.at(date(2026, 2, 20)):
        money_in_bank(treasurer, 100_00)
    close_month(by=treasurer, month="2026-02")
    row = add_hours(
        by=volunteer,
        repair=None,
        person=volunteer,
        on=date(2026, 2, 20),
        tenths=10,
        skill=helper,
        work="office",
    )
    assert (row.on, row.counted_on) == (date(2026, 2, 20), date(2026, 3, 1))
    assert hours_between(date(2026, 2, 1), date(2026, 2, 28)).tenths == 0
    assert hours_between(date(2026, 3, 1), date(2026, 3, 31)).tenths == 10


def test_the_trail_says_who_entered_what(repair: RepairOrder, volunteer: Person, mechanic: Skill) -> None:
    add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=24, skill=mechanic)
    line = TrailLine.objects.filter(action="hours.add").get()
    assert (line.subject, line.text) == (
        repair.number,
        "T-00001: 2.4 h mechanic for Tavi Brandt on Mar 15, 2026.",
    )
