"""Proof counts for what was there when it was signed, and comes from somebody who had no hand in the work."""

from collections.abc import Callable
from datetime import UTC, date, datetime, time

import pytest

from fund import clock
from fund.access.models import Person
from fund.money import Money
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.actions_shelf import issue_from_shelf
from fund.receipts.models import ShelfLot
from fund.receipts.rules import LineInput, PortionInput, ReceiptInput
from fund.refusal import NotReady, TwoPeopleNeeded
from jobs.approvals.actions import supplement
from jobs.estimates.actions import request_supplement
from jobs.handback.actions_handback import hand_back
from jobs.handback.models import RoadTest
from jobs.handback.queries import did_the_work, what_is_missing
from jobs.handback.rules_moments import Deed, came_after, done_after
from jobs.hours.actions import add_hours, take_back_hours
from jobs.hours.models import Skill
from jobs.repairs.actions import set_cause
from jobs.repairs.models import RepairOrder
from tests.jobs.handback.conftest import TODAY, look_over
from tests.jobs.workshop import owner_says_yes

pytestmark = pytest.mark.django_db
Drive = Callable[..., RoadTest]


def hour(at: int) -> datetime:
    """An hour of the afternoon of Mar 15, after the check-in of the tests at noon in Larkwater."""
    return datetime(2026, 3, 15, 17 + at, tzinfo=UTC)


NOON = hour(0)


def lacks(repair: RepairOrder) -> list[str]:
    repair.refresh_from_db()
    return [lack.text for lack in what_is_missing(repair)]


def worked(by: Person, repair: RepairOrder, skill: str = "helper", **facts: object) -> None:
    usual: dict[str, object] = {"person": by, "on": TODAY, "tenths": 5}
    add_hours(by=by, repair=repair, skill=Skill.objects.get(code=skill), **(usual | facts))  # type: ignore[arg-type]


def bought(by: Person, repair: RepairOrder, on: date, **facts: object) -> None:
    line = LineInput(
        "wheel sensor", Money(31_00), [PortionInput("part", repair.cost_object_id)], condition="new"
    )
    data = ReceiptInput(
        store="Gantry Parts", number="77", on=on, total=Money(31_00), tax=Money.zero, tender="own_money", buyer=by, lines=[line],
        **facts,  # type: ignore[arg-type]
    )  # fmt: skip
    post_receipt(by=by, receipt=save_draft(by=by, data=data))


@pytest.mark.parametrize(
    ("on", "at", "after"),
    [
        (date(2026, 3, 14), hour(5), False),  # the work of the day before, written late
        (date(2026, 3, 16), NOON, True),
        (TODAY, hour(1), True),
        (TODAY, NOON, False),
        (TODAY, None, False),  # a paper without a clock time says nothing about its hour
    ],
)
def test_days_decide_and_within_a_day_the_moments(on: date, at: datetime | None, after: bool) -> None:
    assert came_after(Deed("a hub", on, at), TODAY, NOON) is after
    assert done_after([Deed("a hub", on, at)] * 2, TODAY, NOON) == (("a hub",) if after else ())


@pytest.mark.parametrize("skill", ["helper", "mechanic"])
def test_nobody_with_an_hour_on_the_repair_signs_its_check_list(
    repair: RepairOrder, volunteer2: Person, skill: str
) -> None:
    worked(volunteer2, repair, skill, tenths=50)
    with pytest.raises(TwoPeopleNeeded, match="somebody else goes through"):
        look_over(volunteer2, repair)


def test_office_hours_and_hours_taken_back_leave_one_free_to_sign(
    repair: RepairOrder, volunteer: Person, volunteer2: Person
) -> None:
    worked(volunteer2, repair, work="office")
    worked(volunteer2, repair)
    take_back_hours(by=volunteer2, hours=repair.hours.get(work="repair", tenths=5), reason="Wrong vehicle")
    assert did_the_work(repair) == {volunteer.pk}
    assert look_over(volunteer2, repair).whole


def test_a_failed_test_and_its_rework_on_one_day_ask_for_a_check_list_anew(
    repair: RepairOrder, drive: Drive, volunteer: Person, volunteer2: Person
) -> None:
    with clock.at(hour(1)):
        look_over(volunteer2, repair)
    with clock.at(hour(2)):
        drive(repair, listed=False, result="fail", note="Still grinds", complaint_returned=True)
    with clock.at(hour(3)):
        worked(volunteer, repair)
    with clock.at(hour(4)):
        drive(repair, listed=False)
        said = "A road test failed after the check list was signed. Go through it again after the work."
        assert lacks(repair) == [said]
        with pytest.raises(NotReady, match="cannot be handed back yet"):
            hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    with clock.at(hour(5)):
        look_over(volunteer2, repair)
        assert lacks(repair) == []
        assert hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010).pk


def test_more_work_on_the_day_of_the_test_asks_for_both_again(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    with clock.at(hour(1)):
        drive(repair)
    with clock.at(hour(2)):
        worked(volunteer, repair)
        assert lacks(repair) == [
            "Done after the road test: Work of Mar 15, 2026. Drive it again.",
            "Done after the check list: Work of Mar 15, 2026. Go through it again.",
        ]
    with clock.at(hour(3)):
        drive(repair)
        assert lacks(repair) == []


def test_work_written_down_after_the_test_with_clock_times_before_it_changes_nothing(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    with clock.at(hour(3)):  # three in the afternoon
        drive(repair)
    with clock.at(hour(5)):
        worked(volunteer, repair, starts=time(13, 0), ends=time(13, 30))
        assert lacks(repair) == []
        worked(volunteer, repair, starts=time(15, 10), ends=time(15, 40))
        assert len(lacks(repair)) == 2


def test_a_part_bought_after_the_test_needs_another_one_and_a_late_paper_does_not(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    drive(repair)
    with clock.at(date(2026, 3, 17)):
        bought(volunteer, repair, TODAY)
        assert lacks(repair) == []
        bought(volunteer, repair, date(2026, 3, 16), duplicate_reason="A second one for the other side")
        assert lacks(repair)[0] == (
            "Done after the road test: wheel sensor, bought on Mar 16, 2026. Drive it again."
        )
        drive(repair, on=date(2026, 3, 17))
        assert lacks(repair) == []


def test_a_part_off_the_shelf_after_the_test_needs_another_one(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    line = LineInput("wheel sensor", Money(31_00), [PortionInput("shelf")], condition="new")
    data = ReceiptInput(
        store="Gantry Parts", number="78", on=TODAY, total=Money(31_00), tax=Money.zero, tender="own_money", buyer=volunteer,
        lines=[line],
    )  # fmt: skip
    post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=data))
    with clock.at(hour(1)):
        drive(repair)
    with clock.at(hour(2)):
        issue_from_shelf(
            by=volunteer,
            lot=ShelfLot.objects.get(),
            quantity=1000,
            on=TODAY,
            cost_object=repair.cost_object_id,
        )
        assert "wheel sensor, off the shelf on Mar 15, 2026" in lacks(repair)[0]


def test_a_cause_that_changed_after_the_test_keeps_the_keys_until_fund_and_owner_say_yes(
    repair: RepairOrder, drive: Drive, volunteer: Person, owner: Person
) -> None:
    drive(repair)
    set_cause(by=volunteer, repair=repair, cause="A seized caliper, by hand")
    said = lacks(repair)
    assert [sentence.split(".")[0] for sentence in said] == [
        "The cause as written now is not the one that was approved",
        "The vehicle's owner has not said yes to the cause and the work as they stand now",
    ]
    with pytest.raises(NotReady, match="cannot be handed back yet"):
        hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    request_supplement(by=volunteer, repair=repair, lines=(), reason="Another cause, same cost")
    supplement(by=owner, repair=repair)
    owner_says_yes(volunteer, repair)
    assert lacks(repair) == []


def test_the_repair_page_shows_the_cause_that_was_approved_beside_the_one_of_now(
    repair: RepairOrder, volunteer: Person, client_for: Callable[[Person], object]
) -> None:
    set_cause(by=volunteer, repair=repair, cause="A seized caliper, by hand")
    page = client_for(volunteer).get("/crew/repairs/RO-0001/").content.decode()  # type: ignore[attr-defined]
    assert "The cause is not the one that was approved" in page
    assert "Front pads down to metal, measured 1 mm" in page
