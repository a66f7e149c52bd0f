"""The owner signs for vehicle and keys on the screen; the printed sheet says so and shows no signature."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client

from fund.access.models import Person
from fund.refusal import BadInput
from fund.trail.models import TrailLine
from jobs.handback.actions_handback import hand_back
from jobs.handback.models import HandBack, RoadTest
from jobs.handback.proofs import hand_back_breaks
from jobs.repairs.models import RepairOrder
from jobs.signing.rules import Signature
from tests.jobs.handback.conftest import TODAY
from tests.jobs.handback.test_hand_back import text_of

Drive = Callable[..., RoadTest]
SignIn = Callable[[Person], Client]
DRAWN = [[20, 120, 60, 40, 100, 200, 140, 40]]
PATH = "M20 120L60 40L100 200L140 40"
ON_SCREEN = "Signed by the owner on the screen on Mar 15, 2026; kept with the household's papers."


def back(by: Person, repair: RepairOrder, signature: Signature) -> HandBack:
    return hand_back(by=by, repair=repair, on=TODAY, odometer=148_010, signature=signature)


def test_a_drawn_signature_is_kept_sealed_and_the_sheet_says_that_it_was_given(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    drive(repair)
    row = back(volunteer, repair, Signature(drawn=DRAWN))
    row.refresh_from_db()
    assert (row.drawn, row.signed_by, row.snapshot["signed"]) == (DRAWN, "", "drawn")
    with connection.cursor() as cursor:
        cursor.execute("SELECT drawn FROM jobs_handback")
        assert cursor.fetchone()[0].startswith("gAAAAA")
    line = TrailLine.objects.get(action="handback.record")
    assert line.data == {"sheet_sha256": row.sheet_sha256, "signed": "drawn"}
    text = text_of(row)
    assert ON_SCREEN in text
    assert "Owner of the vehicle" not in text
    assert list(hand_back_breaks()) == []


def test_a_typed_name_with_its_tick_does_the_same_and_stands_on_no_sheet(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    drive(repair)
    row = back(volunteer, repair, Signature(name="Ada Quill", ticked=True))
    assert (row.signed_by, row.snapshot["signed"]) == ("Ada Quill", "typed")
    assert ON_SCREEN in text_of(row)
    assert "Quill" not in text_of(row)
    assert "Quill" not in json.dumps(row.snapshot)


def test_without_a_signature_the_sheet_has_the_line_to_sign_on(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    drive(repair)
    text = text_of(back(volunteer, repair, Signature()))
    assert "Owner of the vehicle" in text
    assert "on the screen" not in text


@pytest.mark.parametrize(
    ("signature", "sentence"),
    [
        (Signature(name="Ada Quill"), "ticks what they sign for"),
        (Signature(ticked=True), "signs with their name too"),
        (Signature(drawn=[[300, 120]]), "nearly empty"),
        (Signature(drawn=[[300, 120, 301, 999]]), "did not arrive whole"),
    ],
)
def test_half_a_signature_hands_nothing_back(
    repair: RepairOrder, drive: Drive, volunteer: Person, signature: Signature, sentence: str
) -> None:
    drive(repair)
    with pytest.raises(BadInput, match=sentence):
        back(volunteer, repair, signature)
    assert not HandBack.objects.exists()


def test_the_page_takes_it_and_only_who_may_see_papers_sees_it(
    repair: RepairOrder,
    drive: Drive,
    volunteer: Person,
    owner: Person,
    accountant: Person,
    client_for: SignIn,
) -> None:
    drive(repair)
    typed: dict[str, Any] = {"on": "2026-03-15", "odometer": "148010", "drawn": json.dumps(DRAWN)}
    url = f"/crew/repairs/{repair.number}/hand-back/"
    assert client_for(volunteer).post(url, {**typed, "odometer": "1x"}).status_code == 422
    assert client_for(volunteer).post(url, typed)["Location"].endswith("/sheet/")
    sheet = f"/crew/repairs/{repair.number}/sheet/"
    assert f'<path d="{PATH}"/>' in client_for(owner).get(sheet).content.decode()
    for person in (volunteer, accountant):
        page = client_for(person).get(sheet).content.decode()
        assert "M20 120" not in page
        assert "the signature is kept with the household" in page


def test_a_broken_drawing_comes_back_with_all_that_was_typed(
    repair: RepairOrder, drive: Drive, volunteer: Person, client_for: SignIn
) -> None:
    drive(repair)
    typed = {"on": "2026-03-15", "odometer": "148010", "not_done": "Rear tires", "drawn": "[[1]]"}
    answer = client_for(volunteer).post(f"/crew/repairs/{repair.number}/hand-back/", typed)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "did not arrive whole" in page
    assert "Rear tires" in page
    assert not HandBack.objects.exists()
