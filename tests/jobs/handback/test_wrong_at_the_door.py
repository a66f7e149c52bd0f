"""What came in not safe or lit is asked about before the keys go back, and told on the sheet where it stays."""

import io
from collections.abc import Callable
from typing import Any

import pypdf
import pytest

from fund.access.models import Person
from fund.refusal import NotReady
from jobs.approvals.actions import approve
from jobs.handback.actions import Observed
from jobs.handback.actions_handback import hand_back
from jobs.handback.actions_proof import record_check_list
from jobs.handback.actions_refusal import let_go_untested, refuse_unsafe
from jobs.handback.models import HandBack, RoadTest
from jobs.handback.queries import left_undone, what_is_missing
from jobs.handback.queries_proof import lines_asked
from jobs.handback.rules_door import door_lacks, door_lines, lit_after
from jobs.handback.rules_proof import CheckLine
from jobs.repairs.actions import set_correction
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from jobs.signing.rules import Signature
from tests.jobs import workshop
from tests.jobs.handback.conftest import TODAY, look_over

Drive = Callable[..., RoadTest]
RUST = "Came in not safe: Rusted through where it carries. It is put right"
TIRES = "Came in not safe: Tires or wheels. It is put right"
LIGHTS = "Came in with warning lights on: airbag, ABS. They are out, and their cause is put right"


@pytest.fixture
def repair(
    monkeypatch: pytest.MonkeyPatch, owner: Person, treasurer: Person, screener: Person, volunteer: Person
) -> RepairOrder:
    """In the bay for its brakes; it came in rusted through, on bad tires, with two lights on."""
    plain = workshop.walked_round

    def marked(by: Person, order: RepairOrder, **facts: Any) -> RepairOrder:
        seen = {"no_lights": False, "lights": "airbag, ABS", "unsafe": ("rust", "tires")}
        return plain(by, order, **(seen | facts))

    monkeypatch.setattr(workshop, "walked_round", marked)
    workshop.money_in_bank(treasurer, 5_000_00)
    order = workshop.ready(screener, volunteer, owner, mechanic=volunteer, job_type="brakes")
    approve(by=owner, repair=order)
    start_work(by=volunteer, repair=order)
    return set_correction(by=volunteer, repair=order, correction="Replaced front pads and rotors")


def listed(by: Person, repair: RepairOrder, **later: str) -> None:
    """Yes everywhere but on the lines that hold a word given, which do not apply or come later."""
    rows = []
    for text in lines_asked(repair):
        note = next((note for word, note in later.items() if word in text), "")
        rows.append(CheckLine(text, "not here" if note else "yes", note))
    record_check_list(by=by, repair=repair, on=TODAY, lines=rows)


def back(repair: RepairOrder, by: Person) -> HandBack:
    return hand_back(by=by, repair=repair, on=TODAY, odometer=148_010)


def sheet(row: HandBack) -> str:
    reader = pypdf.PdfReader(io.BytesIO(bytes(row.sheet)))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def lacks(repair: RepairOrder) -> list[tuple[str, str]]:
    return [(lack.text, lack.page) for lack in what_is_missing(repair)]


def test_the_check_list_asks_about_every_mark_and_every_light_of_the_check_in(repair: RepairOrder) -> None:
    assert lines_asked(repair)[-3:] == [RUST, TIRES, LIGHTS]


def test_what_was_put_right_is_not_told_as_undone(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    drive(repair)
    assert back(repair, volunteer).snapshot["not_done"] == []


def test_what_was_not_put_right_stands_on_the_sheet_under_what_was_not_done(
    repair: RepairOrder, drive: Drive, volunteer: Person, volunteer2: Person
) -> None:
    drive(repair, listed=False, observed=Observed(lights_after="airbag, ABS still on."))
    listed(volunteer2, repair, Rusted="beyond what the fund repairs", warning="airbag not found")
    row = back(repair, volunteer)
    assert row.snapshot["not_done"] == [
        "NOT SAFE, as it came in, and not put right: Rusted through where it carries (beyond what the fund repairs)",
        "Warning lights that were on when it came in, not put right: airbag, ABS (airbag not found)",
        "Warning lights on after the road test: airbag, ABS still on",
    ]
    text = sheet(row)
    assert "Nothing that we know of was left undone" not in text
    assert "NOT SAFE, as it came in, and not put right: Rusted through" in text
    assert "Not asked of this vehicle" not in text


def test_bad_tires_go_back_only_after_the_owner_signed_that_they_refuse_new_ones(
    repair: RepairOrder, drive: Drive, volunteer: Person, volunteer2: Person, owner: Person
) -> None:
    drive(repair, listed=False)
    listed(volunteer2, repair, Tires="worn to the cords")
    stays = (
        "Tires or wheels: not safe, and not put right. Put it right and go through the check list again, or have the "
        "owner sign that they refuse it.",
        "handback:unsafe",
    )
    assert lacks(repair) == [stays]
    with pytest.raises(NotReady, match="cannot be handed back yet"):
        back(repair, volunteer)
    signed = Signature(name="Owner of the tests", ticked=True)
    for part in ("rust", "tires"):
        assert stays in lacks(repair)
        row = refuse_unsafe(
            by=volunteer, repair=repair, text=f"{part}, seen", part=part, signature=signed, on=TODAY
        )
        let_go_untested(by=owner, refusal=row, reason="No money for it, and it stands in a yard")
    assert lacks(repair) == []


def test_a_refusal_on_paper_names_its_parts_itself() -> None:
    asked = door_lines(["brakes"], "", "none stays on")
    answers = [{"text": asked[0].text, "answer": "not here", "note": "seized"}]
    assert [lack.page for lack in door_lacks(asked, answers, [])] == ["handback:unsafe"]
    assert [lack.page for lack in door_lacks(asked, answers, ["tires"])] == ["handback:unsafe"]
    assert door_lacks(asked, answers, ["brakes"]) == []
    assert door_lacks(asked, answers, [""]) == []


def test_a_list_that_never_asked_is_gone_through_again() -> None:
    asked = door_lines([], "Do not drive it home.", "")
    assert [line.text for line in asked] == ["Came in not safe: Do not drive it home. It is put right"]
    assert [lack.page for lack in door_lacks(asked, [], [])] == ["handback:check-list"]


@pytest.mark.parametrize("words", ["", "None.", "all off", "none stays on", "-"])
def test_a_drive_that_saw_no_light_tells_of_none(words: str) -> None:
    assert lit_after(words) == []
    assert door_lines([], "", words) == []


def test_words_beside_a_mark_explain_it_and_are_no_line_of_their_own() -> None:
    asked = door_lines(["brakes"], "Do not drive it home", "")
    assert [line.part for line in asked] == ["brakes"]


def test_lights_of_the_last_drive_count(repair: RepairOrder, drive: Drive, volunteer2: Person) -> None:
    drive(repair, listed=False, observed=Observed(lights_after="ABS"), result="fail", note="ABS came on")
    look_over(volunteer2, repair)
    assert left_undone(repair) == ["Warning lights on after the road test: ABS"]
    drive(repair, listed=False)
    assert left_undone(repair) == []
