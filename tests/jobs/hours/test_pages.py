"""The pages of donated hours."""

import csv
import io
from collections.abc import Callable
from datetime import date, time

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fund.access.models import Person
from jobs.approvals.actions_relations import answer_relation
from jobs.hours.actions import add_hours
from jobs.hours.models import HoursEntry, Rate, Skill
from jobs.repairs.models import RepairOrder

TODAY = date(2026, 3, 15)
ClientFor = Callable[[Person], Client]


def typed(repair: RepairOrder | None, **changes: str | list[str]) -> dict[str, str | list[str]]:
    usual: dict[str, str | list[str]] = {
        "repair": repair.number if repair else "",
        "tenths": "2.4",
        "skill": "mechanic",
        "on": "2026-03-15",
        "person": "tavi",
        "work": "repair",
        "note": "",
    }
    return usual | changes


def test_the_form_starts_with_me_today_and_the_repair_i_came_from(
    repair: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    page = client_for(volunteer).get(f"/crew/hours/add/?repair={repair.number}").content.decode()
    assert f'<option value="{repair.number}" selected>' in page
    assert '<option value="tavi" selected>' in page
    assert 'value="2026-03-15"' in page


def test_opened_anywhere_the_form_starts_with_the_one_repair_in_my_hands(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, client_for: ClientFor
) -> None:
    """Hours and one touch are then all that is left to do."""
    page = client_for(volunteer).get("/crew/hours/add/").content.decode()
    assert f'<option value="{repair.number}" selected>' in page
    page = client_for(volunteer2).get("/crew/hours/add/").content.decode()
    assert f'<option value="{repair.number}" selected>' not in page


def test_clock_times_and_as_many_for_each_are_kept_from_the_form(
    repair: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    client = client_for(volunteer)
    told = typed(repair, others=["jun"], each="each", starts="09:00", ends="11:30")
    client.post("/crew/hours/add/", told)
    rows = HoursEntry.objects.order_by("pk").values_list("person__username", "tenths", "starts", "ends")
    assert list(rows) == [("tavi", 24, time(9), time(11, 30)), ("jun", 24, time(9), time(11, 30))]
    page = client.post("/crew/hours/add/", typed(repair, starts="10:00", ends="12:30")).content.decode()
    assert "was on RO-0001 from 09:00 to 11:30" in page
    assert 'value="12:30"' in page


def test_an_owner_decides_on_pay_and_a_bill_is_entered(
    repair: RepairOrder, owner: Person, volunteer: Person, volunteer2: Person, client_for: ClientFor
) -> None:
    client = client_for(owner)
    path = "/crew/hours/paid/decide/"
    told = {"person": "jun", "answer": "contractor", "reason": "Nobody else can"}
    page = client.post(path, told).content.decode()
    assert page.count("A contractor needs this.") >= 3
    told |= {"from_on": "2026-03-15", "conflict": "Maren asks, Odell pays", "tax_form_on": "2026-03-15"}
    assert client.post(path, told).headers["Location"] == "/crew/hours/paid/"
    assert "Contractor from a day on" in client.get("/crew/hours/paid/").content.decode()
    answer_relation(by=volunteer2, repair=repair, tie=False)
    bill = {
        "person": "jun",
        "repair": repair.number,
        "number": "7",
        "on": "2026-03-15",
        "amount": "60.00",
        "text": "Rotors turned",
    }
    assert client_for(volunteer2).post("/crew/hours/paid/bill/", bill).status_code == 422
    answer = client_for(volunteer).post("/crew/hours/paid/bill/", bill)
    assert answer.headers["Location"].startswith("/crew/receipts/R-")


def test_hours_are_entered_and_lead_back_to_the_repair(
    repair: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    answer = client_for(volunteer).post("/crew/hours/add/", typed(repair))
    assert answer.headers["Location"] == f"/crew/repairs/{repair.number}/"
    row = HoursEntry.objects.get()
    assert (row.tenths, row.person, row.repair, row.work) == (24, volunteer, repair, "repair")


def test_two_people_share_the_hours(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, client_for: ClientFor
) -> None:
    client_for(volunteer).post("/crew/hours/add/", typed(repair, others=["jun"]))
    assert sorted(HoursEntry.objects.values_list("person__username", "tenths")) == [("jun", 12), ("tavi", 12)]


def test_no_vehicle_means_office_or_shop(volunteer: Person, client_for: ClientFor) -> None:
    client_for(volunteer).post("/crew/hours/add/", typed(None, skill="helper"))
    assert HoursEntry.objects.get().work == "office"


def test_a_quarter_hour_comes_back_with_everything_still_typed(
    repair: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    answer = client_for(volunteer).post("/crew/hours/add/", typed(repair, tenths="1.25", note="seized bolts"))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "1.25 h is not in tenths of an hour. Write 1.2 or 1.3; a tenth is six minutes." in page
    assert 'value="1.25"' in page
    assert 'value="seized bolts"' in page
    assert f'<option value="{repair.number}" selected>' in page
    assert not HoursEntry.objects.exists()


def test_what_the_action_refuses_stands_on_the_form(
    repair: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    answer = client_for(volunteer).post("/crew/hours/add/", typed(repair, tenths="16.1"))
    assert answer.status_code == 422
    assert "more than one person can work in a day" in answer.content.decode()


def test_the_list_shows_who_entered_for_whom_and_the_sums(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, mechanic: Skill, client_for: ClientFor
) -> None:
    add_hours(by=volunteer, repair=repair, person=volunteer2, on=TODAY, tenths=24, skill=mechanic)
    page = client_for(volunteer2).get("/crew/hours/").content.decode()
    assert "by Tavi Brandt for Jun Okafor" in page
    assert "not confirmed" in page
    assert "Confirm yours (1)" in page
    assert "2.4 hours together, of them 2.4 skilled. Bought, those would have cost $69.14." in page


def test_the_download_is_exactly_what_is_shown(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, mechanic: Skill, client_for: ClientFor
) -> None:
    add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=24, skill=mechanic)
    add_hours(by=volunteer2, repair=repair, person=volunteer2, on=TODAY, tenths=18, skill=mechanic)
    answer = client_for(volunteer).get("/crew/hours/?format=csv&person=jun")
    text = b"".join(answer.streaming_content).decode("utf-8-sig")  # type: ignore[attr-defined]
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [(row["Person"], row["Hours"], row["Worth, not cash"]) for row in rows] == [
        ("Jun Okafor", "1.8", "51.86")
    ]


def test_the_list_asks_as_often_for_many_rows_as_for_few(
    repair: RepairOrder, volunteer: Person, helper: Skill, client_for: ClientFor
) -> None:
    client = client_for(volunteer)

    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            client.get("/crew/hours/")
        return len(seen)

    add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=1, skill=helper)
    client.get("/crew/hours/")
    few = queries()
    for _ in range(20):
        add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=1, skill=helper)
    assert queries() == few
    assert few < 12


def test_the_person_says_yes(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, mechanic: Skill, client_for: ClientFor
) -> None:
    row = add_hours(by=volunteer, repair=repair, person=volunteer2, on=TODAY, tenths=24, skill=mechanic)
    client = client_for(volunteer2)
    assert "Yes, 2.4 h" in client.get("/crew/hours/confirm/").content.decode()
    client.post(f"/crew/hours/{row.code}/confirm/")
    assert "Nothing waits for your yes" in client.get("/crew/hours/confirm/").content.decode()


def test_hours_are_taken_back_with_a_reason(
    repair: RepairOrder, volunteer: Person, mechanic: Skill, client_for: ClientFor
) -> None:
    row = add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=24, skill=mechanic)
    client = client_for(volunteer)
    assert client.post(f"/crew/hours/{row.code}/take-back/", {"reason": ""}).status_code == 422
    assert client.post(f"/crew/hours/{row.code}/take-back/", {"reason": "Wrong car"}).status_code == 302
    page = client.get(f"/crew/hours/{row.code}/").content.decode()
    assert "Taken back by" in page
    assert "/take-back/" not in page


def test_an_owner_adds_a_rate_and_a_volunteer_reads_them(
    owner: Person, volunteer: Person, client_for: ClientFor
) -> None:
    client_for(owner).post(
        "/crew/hours/rates/add/",
        {
            "skill": "mechanic",
            "amount": "31.00",
            "basis": "Wage",
            "source": "Crew meeting",
            "valid_from": "2026-04-01",
        },
    )
    assert Rate.objects.filter(basis="Wage").count() == 1
    page = client_for(volunteer).get("/crew/hours/rates/").content.decode()
    assert "May 2023" in page
    assert "Crew meeting" in page
    assert "Add a rate" not in page


@pytest.mark.parametrize("path", ["T-99999/", "T-99999/take-back/"])
def test_hours_that_do_not_exist_are_not_found(volunteer: Person, client_for: ClientFor, path: str) -> None:
    assert client_for(volunteer).get(f"/crew/hours/{path}").status_code == 404
