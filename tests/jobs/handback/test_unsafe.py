"""The owner refuses what makes the vehicle safe: signed, not driven, and maybe nothing is handed back."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import DatabaseError, connection, transaction

from fund.access.models import Person
from fund.commitments.queries import open_for
from fund.ledger.models import Line
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady, TwoPeopleNeeded
from jobs.handback.actions_handback import hand_back
from jobs.handback.actions_refusal import let_go_untested, owner_agreed, refuse_unsafe
from jobs.handback.models import RoadTest
from jobs.handback.models_proof import UnsafeRefusal
from jobs.repairs.actions_steps import cancel
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from tests.jobs.handback.conftest import TODAY, look_over
from tests.jobs.handback.test_hand_back import text_of
from tests.jobs.workshop import four_photos

Drive = Callable[..., RoadTest]
BALL_JOINT = "Left front ball joint, 6 mm of play"


def refused(by: Person, repair: RepairOrder, **facts: Any) -> UnsafeRefusal:
    usual: dict[str, Any] = {
        "text": BALL_JOINT,
        "paper": four_photos()[0],
    }
    return refuse_unsafe(by=by, repair=repair, **(usual | facts))


def test_an_owner_who_refuses_the_unsafe_item_signs_and_there_is_no_road_test(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    row = refused(volunteer, repair)
    assert row.paper is not None
    assert (row.paper.subject, row.paper.power) == (repair.number, "household.papers")
    with pytest.raises(
        NotReady, match="The owner refused what makes it safe: Left front ball joint, 6 mm of play. It is"
    ):
        drive(repair)
    assert not RoadTest.objects.exists()


def test_the_other_work_is_not_handed_back_and_the_repair_may_be_stopped(
    repair: RepairOrder, volunteer: Person, volunteer2: Person
) -> None:
    look_over(volunteer2, repair)
    refused(volunteer, repair)
    with pytest.raises(NotReady) as refusal:
        hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_002)
    assert refusal.value.details == [
        f"The owner refused what makes it safe: {BALL_JOINT}. An owner of the fund decides whether it goes back untested."
    ]
    before = Line.objects.count()
    cancel(by=volunteer, repair=repair, reason="owner refused the ball joint; towed away")
    repair.refresh_from_db()
    assert repair.state == State.DIAGNOSED
    assert (open_for(repair.number), Line.objects.count()) == (
        Money.zero,
        before,
    )  # a promise let go is no entry


def test_a_refusal_after_the_road_test_stops_the_hand_back_too(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    drive(repair)
    refused(volunteer, repair)
    with pytest.raises(NotReady):
        hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)


def test_an_owner_of_the_fund_may_let_it_go_untested_and_the_sheet_says_so_in_plain_words(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, owner: Person
) -> None:
    look_over(volunteer2, repair)
    row = refused(volunteer, repair)
    let_go_untested(by=owner, refusal=row, reason="Brakes are done; the tow truck is ordered")
    given = hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_002)
    repair.refresh_from_db()
    assert (repair.state, given.road_test, repair.tested_on) == (State.HANDED_BACK, None, None)
    text = text_of(given)
    assert f"Not safe: {BALL_JOINT}. You refused the work and signed so on Mar 15, 2026." in text
    assert "Do not drive it." in text
    assert "Not road-tested: the vehicle is not safe to drive" in text
    assert f"NOT SAFE: {BALL_JOINT}" in text
    assert "Passed" not in text


def test_an_owner_who_agrees_after_all_brings_the_repair_back_on_its_way(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    row = refused(volunteer, repair)
    owner_agreed(by=volunteer, refusal=row, reason="Agreed by telephone, supplement asked for")
    drive(repair)
    assert hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010).road_test is not None


def test_only_an_owner_of_the_fund_who_did_not_do_the_work_lets_it_go(
    repair: RepairOrder, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    row = refused(volunteer, repair)
    for other in (volunteer, treasurer):
        with pytest.raises(NotAllowed, match="owner"):
            let_go_untested(by=other, refusal=row, reason="please")
    RepairOrder.objects.filter(pk=repair.pk).update(mechanic=owner)
    row.repair.refresh_from_db()
    with pytest.raises(TwoPeopleNeeded):
        let_go_untested(by=owner, refusal=row, reason="please")


def test_a_refusal_is_answered_once_and_with_a_reason(
    repair: RepairOrder, volunteer: Person, owner: Person
) -> None:
    row = refused(volunteer, repair)
    with pytest.raises(BadInput, match="Say why"):
        let_go_untested(by=owner, refusal=row, reason=" ")
    owner_agreed(by=volunteer, refusal=row, reason="by telephone")
    with pytest.raises(AlreadyDone):
        let_go_untested(by=owner, refusal=row, reason="towed")


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"text": " "}, "Write what is unsafe"),
        ({"paper": SimpleUploadedFile("paper.jpg", b"MZ\x90\x00" * 50)}, "."),
    ],
)
def test_a_refusal_needs_what_and_the_signed_paper(
    repair: RepairOrder, volunteer: Person, facts: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(BadInput, match=sentence):
        refused(volunteer, repair, **facts)
    assert not UnsafeRefusal.objects.exists()


def test_the_database_refuses_to_change_a_refusal(repair: RepairOrder, volunteer: Person) -> None:
    refused(volunteer, repair)
    with (
        pytest.raises(DatabaseError, match="what is written stays"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute("DELETE FROM jobs_unsaferefusal")
