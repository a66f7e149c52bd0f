"""The pages of road test and hand-back."""

from collections.abc import Callable
from typing import Any

from django.test import Client

from fund.access.models import Person
from fund.receipts.models import Receipt
from jobs.handback.actions_comeback import begin_comeback, open_comeback
from jobs.handback.actions_handback import hand_back
from jobs.handback.models import HandBack, RoadTest
from jobs.handback.rules import SAFETY_LINES
from jobs.repairs.models import RepairOrder
from tests.jobs.handback.conftest import TODAY
from tests.jobs.workshop import four_photos, walked_round

ClientFor = Callable[[Person], Client]
Make = Callable[..., RepairOrder]
Drive = Callable[..., RoadTest]


def typed(**changes: Any) -> dict[str, Any]:
    usual = {
        "on": "2026-03-15",
        "driver": "tavi",
        "odometer_out": "148002",
        "odometer_in": "148010",
        "minutes": "20",
        "route": "town",
        "readiness": "not read",
        "complaint_returned": "no",
        "result": "pass",
        "noises": "none",
        **{name: "yes" for name, _ in SAFETY_LINES},
    }
    return usual | changes


def test_the_form_knows_the_owners_time_to_failure(
    make_repair: Make, volunteer2: Person, client_for: ClientFor
) -> None:
    repair = make_repair(intermittent=True, owner_minutes_to_failure=40)
    page = client_for(volunteer2).get(f"/crew/repairs/{repair.number}/road-test/").content.decode()
    assert "Drive at least 60 minutes" in page
    assert "after 40 minutes as the owner tells it; the fund drives 1.5 times that" in page


def test_a_road_test_is_signed_and_leads_back_to_the_repair(
    repair: RepairOrder, volunteer2: Person, client_for: ClientFor
) -> None:
    answer = client_for(volunteer2).post(f"/crew/repairs/{repair.number}/road-test/", typed())
    assert answer.headers["Location"] == f"/crew/repairs/{repair.number}/"
    test = RoadTest.objects.get()
    assert (test.result, test.signed_by, test.driver.username, test.noises) == (
        "pass",
        volunteer2,
        "tavi",
        "none",
    )
    page = client_for(volunteer2).get(f"/crew/repairs/{repair.number}/road-tests/{test.pk}/").content.decode()
    assert "148,002 to 148,010, 8 miles" in page


def test_a_pass_with_a_safety_line_no_comes_back_with_all_that_was_typed(
    repair: RepairOrder, volunteer2: Person, client_for: ClientFor
) -> None:
    answer = client_for(volunteer2).post(
        f"/crew/repairs/{repair.number}/road-test/", typed(lights_work="no", noises="a whine at 40")
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Not yes: Lights, horn and wipers work." in page
    assert 'value="a whine at 40"' in page
    assert not RoadTest.objects.exists()


def test_a_safety_line_left_empty_is_asked_for(
    repair: RepairOrder, volunteer2: Person, client_for: ClientFor
) -> None:
    facts = typed()
    del facts["no_leaks"]
    answer = client_for(volunteer2).post(f"/crew/repairs/{repair.number}/road-test/", facts)
    assert answer.status_code == 422
    assert "Say yes or no." in answer.content.decode()


def test_letters_for_an_odometer_are_told(
    repair: RepairOrder, volunteer2: Person, client_for: ClientFor
) -> None:
    answer = client_for(volunteer2).post(
        f"/crew/repairs/{repair.number}/road-test/", typed(odometer_in="about 148k")
    )
    assert answer.status_code == 422
    assert "Write a whole number." in answer.content.decode()
    assert 'value="about 148k"' in answer.content.decode()


def test_an_odometer_may_be_typed_as_the_pages_print_it(
    repair: RepairOrder, volunteer2: Person, client_for: ClientFor
) -> None:
    miles = typed(odometer_out="148,002", odometer_in="148 010")
    answer = client_for(volunteer2).post(f"/crew/repairs/{repair.number}/road-test/", miles)
    assert answer.status_code == 302
    test = RoadTest.objects.get()
    assert (test.odometer_out, test.odometer_in) == (148_002, 148_010)


def test_the_hand_back_page_lists_what_is_missing(
    repair: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    page = client_for(volunteer).get(f"/crew/repairs/{repair.number}/hand-back/").content.decode()
    assert "There is no road test yet. Drive it and record the test." in page


def test_handing_back_too_early_says_why_and_keeps_what_was_typed(
    repair: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    answer = client_for(volunteer).post(
        f"/crew/repairs/{repair.number}/hand-back/",
        {"on": "2026-03-15", "odometer": "148010", "not_done": "Air filter", "care": ""},
    )
    assert answer.status_code == 422
    assert "cannot be handed back yet" in answer.content.decode()
    assert "Air filter" in answer.content.decode()


def test_the_sheet_is_downloaded_as_it_was_kept(
    repair: RepairOrder, receipt: Receipt, drive: Drive, volunteer: Person, client_for: ClientFor
) -> None:
    drive(repair)
    client = client_for(volunteer)
    answer = client.post(
        f"/crew/repairs/{repair.number}/hand-back/",
        {"on": "2026-03-15", "odometer": "148010", "not_done": "", "care": ""},
    )
    assert answer.headers["Location"] == f"/crew/repairs/{repair.number}/sheet/"
    page = client.get(f"/crew/repairs/{repair.number}/sheet/").content.decode()
    assert "The owner owes $0.00." in page
    assert "182.29" in page
    pdf = client.get(f"/crew/repairs/{repair.number}/sheet.pdf")
    assert pdf.headers["Content-Type"] == "application/pdf"
    assert pdf.content == bytes(HandBack.objects.get().sheet)
    assert pdf.content.startswith(b"%PDF-")


def test_the_owners_word_is_asked_only_for_a_fault_that_could_not_be_duplicated(
    make_repair: Make, drive: Drive, volunteer: Person, client_for: ClientFor
) -> None:
    repair = make_repair()
    client = client_for(volunteer)
    path = f"/crew/repairs/{repair.number}/hand-back/"
    assert "owner_agrees" not in client.get(path).content.decode()
    drive(repair, result="could not duplicate", note="20 min in town")
    assert "owner_agrees" in client.get(path).content.decode()
    facts = {"on": "2026-03-15", "odometer": "148010"}
    assert client.post(path, facts).status_code == 422
    assert client.post(path, facts | {"owner_agrees": "on"}).status_code == 302


def test_a_sheet_of_a_vehicle_still_here_is_not_found(
    repair: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    client = client_for(volunteer)
    assert client.get(f"/crew/repairs/{repair.number}/sheet.pdf").status_code == 404
    assert client.get(f"/crew/repairs/{repair.number}/sheet/").status_code == 302
    assert client.get("/crew/repairs/RO-9999/road-test/").status_code == 404


def test_the_check_list_page_keeps_every_answer_when_one_is_missing(
    repair: RepairOrder, volunteer2: Person, client_for: ClientFor
) -> None:
    client = client_for(volunteer2)
    path = f"/crew/repairs/{repair.number}/check-list/"
    answers = {f"line{place}": "yes" for place in range(1, 7)} | {"line1": "no", "note1": "a rag in the well"}
    answer = client.post(path, answers | {"on": "2026-03-15"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Not answered." in page
    assert 'value="a rag in the well"' in page
    answer = client.post(
        path, answers | {"on": "2026-03-15", "line0": "not here", "note0": "wheels stayed on"}
    )
    assert answer.headers["Location"] == f"/crew/repairs/{repair.number}/"
    row = repair.check_lists.get()
    assert (row.whole, row.lines[0]["note"]) == (False, "wheels stayed on")
    page = client.get(f"/crew/repairs/{repair.number}/check-lists/{row.pk}/").content.decode()
    assert "not all well" in page
    assert client.get(f"/crew/repairs/RO-0009/check-lists/{row.pk}/").status_code == 404


def test_fluids_without_a_name_come_back_with_the_quarts_still_typed(
    repair: RepairOrder, volunteer2: Person, client_for: ClientFor
) -> None:
    client = client_for(volunteer2)
    path = f"/crew/repairs/{repair.number}/road-test/"
    page = client.post(path, typed(put_in0="8.5", added0="x")).content.decode()
    assert "Say which fluid this was." in page
    assert "“x” is not a quantity." in page
    assert 'value="8.5"' in page
    client.post(
        path,
        typed(fluid0="transmission", put_in0="8.5", added0="0.5", level0="at mark", temp_f0="180", out0="0"),
    )
    row = RoadTest.objects.get().fluids.get()
    assert (row.out, row.put_in, row.added, row.temp_f) == (0, 8500, 500, 180)
    page = client.get(f"/crew/repairs/{repair.number}/road-tests/{row.road_test_id}/").content.decode()
    assert (
        "0 quarts out, 8.5 quarts in, 0.5 quarts added after the drive; level at its mark at 180 °F" in page
    )


def test_the_road_test_begins_with_the_codes_read_at_the_door(
    repair: RepairOrder, drive: Drive, volunteer: Person, volunteer2: Person, client_for: ClientFor
) -> None:
    drive(repair)
    hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    row = open_comeback(by=volunteer2, original=repair, complaint="Misfires")
    walked_round(volunteer2, row.repair, mileage=148_020, codes_state="read", codes="P0301 stored, P0420")
    begin_comeback(by=volunteer2, comeback=row)
    page = client_for(volunteer2).get("/crew/repairs/RO-0002/road-test/").content.decode()
    assert 'value="P0301 P0420"' in page
    page = client_for(volunteer2).get("/crew/repairs/RO-0002/came-back/").content.decode()
    assert "P0301 stored, P0420" in page


def test_what_is_missing_leads_to_where_it_is_put_right(
    repair: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    page = client_for(volunteer).get(f"/crew/repairs/{repair.number}/hand-back/").content.decode()
    assert f'<a href="/crew/repairs/{repair.number}/check-list/">Go there</a>' in page


def test_a_refusal_is_written_with_its_paper_and_ended_on_its_page(
    repair: RepairOrder, volunteer: Person, owner: Person, treasurer: Person, client_for: ClientFor
) -> None:
    client, path = client_for(volunteer), f"/crew/repairs/{repair.number}/unsafe/"
    told = {"text": "Ball joint, 6 mm", "on": "2026-03-15"}
    assert client.post(f"{path}new/", told).status_code == 422
    assert client.post(f"{path}new/", told | {"paper": four_photos()[0]}).headers["Location"] == path
    row = repair.unsafe_refusals.get()
    assert "no road test, and no hand-back" in client.get(path).content.decode()
    assert client.get(f"{path}{row.pk}/untested/").status_code == 403
    assert client_for(treasurer).get(f"{path}{row.pk}/untested/").status_code == 403
    assert "Let it go untested" not in client_for(treasurer).get(path).content.decode()
    boss = client_for(owner)
    assert boss.post(f"{path}{row.pk}/untested/", {"reason": ""}).status_code == 422
    assert boss.post(f"{path}{row.pk}/untested/", {"reason": "towed"}).headers["Location"] == path
    assert "Goes back without a road test" in client.get(path).content.decode()


def test_a_comeback_is_opened_from_the_sheet_and_judged_beside_the_first_visit(
    repair: RepairOrder, drive: Drive, volunteer: Person, volunteer2: Person, client_for: ClientFor
) -> None:
    drive(repair)
    hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    client = client_for(volunteer2)
    path = f"/crew/repairs/{repair.number}/comeback/"
    assert client.post(path, {"complaint": "Grinds", "on": "2026-03-15"}).status_code == 422
    answer = client.post(
        path, {"complaint": "Grinds", "on": "2026-03-15", "same": "yes", "mileage_in": "148020"}
    )
    assert answer.headers["Location"] == "/crew/repairs/RO-0002/came-back/"
    page = client.get("/crew/repairs/RO-0002/came-back/").content.decode()
    assert "photo 4" in page
    assert "not finished yet" in page
    begun = client.post("/crew/repairs/RO-0002/came-back/begin/", follow=True).content.decode()
    assert "RO-0002 is not checked in yet" in begun
    assert client.post("/crew/repairs/RO-0002/came-back/fault/", {"ours": "no"}).status_code == 422
    client.post(
        "/crew/repairs/RO-0002/came-back/fault/", {"ours": "no", "reason": "Another wheel, see photo 2"}
    )
    page = client.get("/crew/repairs/RO-0002/came-back/").content.decode()
    assert "Take down a new request for help" in page
    assert RepairOrder.objects.get(number="RO-0002").job_type == "Comeback: brakes"


def test_whoever_did_the_work_reads_the_check_list_and_gets_no_button_to_sign_it(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, client_for: ClientFor
) -> None:
    path = f"/crew/repairs/{repair.number}/check-list/"
    own = client_for(volunteer).get(path).content.decode()
    assert "Somebody else signs this" in own
    assert "No fresh leak under the vehicle" in own
    assert "Sign the check list" not in own
    assert "Sign the check list" in client_for(volunteer2).get(path).content.decode()


def test_the_button_of_a_hand_back_is_quiet_until_nothing_is_lacking(
    repair: RepairOrder, volunteer: Person, drive: Drive, client_for: ClientFor
) -> None:
    client, path = client_for(volunteer), f"/crew/repairs/{repair.number}/hand-back/"
    quiet = '<button class="button button-quiet" type="submit">Hand it back</button>'
    assert quiet in client.get(path).content.decode()
    drive(repair)
    page = client.get(path).content.decode()
    assert '<button class="button" type="submit">Hand it back</button>' in page
