"""Who is tied to a household decides nothing on its repair, proves nothing, and has hours confirmed by somebody else."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.test import Client

from fund import clock
from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput, TwoPeopleNeeded
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation
from jobs.estimates.actions import request_supplement
from jobs.handback.actions import record_road_test
from jobs.handback.actions_handback import hand_back
from jobs.hours.actions import add_hours, confirm_hours
from jobs.hours.models import HoursEntry, Skill
from jobs.hours.queries import unconfirmed, waiting_for
from jobs.repairs.actions_findings import add_finding, decide_finding
from jobs.repairs.actions_steps import cancel, start_work
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from tests.conftest import TODAY
from tests.jobs.handback.conftest import EVERY_LINE, look_over
from tests.jobs.workshop import money_in_bank, part, ready

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]


@pytest.fixture
def repair(
    screener: Person, volunteer: Person, volunteer2: Person, owner: Person, treasurer: Person
) -> RepairOrder:
    """In the bay, by Tavi; Jun is a cousin of the household."""
    money_in_bank(treasurer, 5_000_00)
    order = ready(screener, volunteer, owner, mechanic=volunteer)
    approve(by=owner, repair=order)
    answer_relation(by=volunteer2, repair=order, tie=True, words="my cousin")
    return start_work(by=volunteer, repair=order)


def hours(
    by: Person, repair: RepairOrder, person: Person | None = None, on: date = TODAY, **facts: Any
) -> HoursEntry:
    skill = Skill.objects.get(code="helper")
    return add_hours(by=by, repair=repair, person=person or by, on=on, tenths=5, skill=skill, **facts)


def test_a_tied_person_takes_no_deciding_and_no_proving_step(
    repair: RepairOrder, volunteer: Person, volunteer2: Person
) -> None:
    finding = add_finding(by=volunteer, repair=repair, text="A worn hose")
    steps: list[Callable[[], object]] = [
        lambda: request_supplement(by=volunteer2, repair=repair, lines=part(10_00), reason="More"),
        lambda: cancel(by=volunteer2, repair=repair, reason="No"),
        lambda: decide_finding(by=volunteer2, finding=finding, decision="later"),
        lambda: look_over(volunteer2, repair),
        lambda: record_road_test(
            by=volunteer2, repair=repair, on=TODAY, driver=volunteer, odometer_out=148_000, odometer_in=148_010,
            minutes=20, route="town", safety=EVERY_LINE, complaint_returned=False, result="pass",
        ),
        lambda: hand_back(by=volunteer2, repair=repair, on=TODAY, odometer=148_010),
    ]  # fmt: skip
    for step in steps:
        with pytest.raises(
            TwoPeopleNeeded, match="Jun Okafor has a tie to the household of RO-0001. Someone without one"
        ):
            step()
    repair.refresh_from_db()
    assert repair.state == State.IN_WORK
    assert not (
        repair.supplement_requests.exists() or repair.check_lists.exists() or repair.road_tests.exists()
    )


def test_hours_of_a_tied_person_wait_for_the_yes_of_somebody_without_a_tie(
    repair: RepairOrder, volunteer: Person, volunteer2: Person
) -> None:
    row = hours(volunteer2, repair)
    assert (row.needs_other, row.confirmed) == (True, False)
    assert [found.pk for found in unconfirmed(HoursEntry.objects.all())] == [row.pk]
    assert (list(waiting_for(volunteer2)), list(waiting_for(volunteer))) == ([], [row])
    with pytest.raises(TwoPeopleNeeded, match="Somebody of the crew without one confirms"):
        confirm_hours(by=volunteer2, hours=row)
    confirm_hours(by=volunteer, hours=row)
    row.refresh_from_db()
    assert row.confirmed
    assert not waiting_for(volunteer).exists()
    with pytest.raises(AlreadyDone):
        confirm_hours(by=volunteer, hours=row)


def test_hours_entered_for_a_tied_person_wait_for_their_own_yes_as_for_anyone(
    repair: RepairOrder, volunteer: Person, volunteer2: Person
) -> None:
    row = hours(volunteer, repair, volunteer2)
    assert (row.needs_other, list(waiting_for(volunteer2))) == (False, [row])
    assert not hours(volunteer, repair).needs_other


def test_the_page_offers_a_tied_persons_hours_to_somebody_else(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, client_for: SignIn
) -> None:
    row = hours(volunteer2, repair)
    assert (
        "Nothing waits for your yes." in client_for(volunteer2).get("/crew/hours/confirm/").content.decode()
    )
    client = client_for(volunteer)
    page = client.get("/crew/hours/confirm/").content.decode()
    assert "Jun Okafor, who has a tie to the household" in page
    assert "not confirmed yet by somebody else" in client.get(f"/crew/hours/{row.code}/").content.decode()
    client.post(f"/crew/hours/{row.code}/confirm/")
    assert "confirmed by Tavi Brandt" in client.get(f"/crew/hours/{row.code}/").content.decode()


def test_nothing_is_done_on_a_repair_after_it_was_stopped(
    repair: RepairOrder, volunteer: Person, owner: Person
) -> None:
    cancel(by=owner, repair=repair, reason="The frame is rusted through")
    assert hours(volunteer, repair).pk  # the work of the day it was stopped, written afterwards
    with clock.at(date(2026, 3, 16)):
        for work in ("repair", "comeback", "recheck"):
            with pytest.raises(BadInput, match="was stopped on Mar 15, 2026"):
                hours(volunteer, repair, on=date(2026, 3, 16), work=work)
        assert hours(volunteer, repair, on=date(2026, 3, 16), work="office").pk


def test_who_approved_a_repair_does_not_do_its_work(
    repair: RepairOrder, owner: Person, volunteer: Person
) -> None:
    with pytest.raises(BadInput, match="Maren Holt approved RO-0001, and who approves does not do the work"):
        hours(volunteer, repair, owner)
    assert hours(owner, repair, work="office").pk
