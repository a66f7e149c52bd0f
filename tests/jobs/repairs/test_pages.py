from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from fund.money import Money
from jobs.approvals.actions import approve
from jobs.estimates.models import EstimateLine
from jobs.repairs.models import Finding, RepairOrder
from jobs.repairs.rules import State
from jobs.vehicles.models import Vehicle
from tests.jobs.workshop import checked_in, eligible, money_in_bank, priced, ready

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]


def test_checking_in_writes_vehicle_and_repair_order_together(
    screener: Person, volunteer: Person, client_for: SignIn
) -> None:
    application = eligible(screener)
    client = client_for(volunteer)
    url = f"/crew/repairs/open/{application.code}/"
    assert "Grinds when braking" in client.get(url).content.decode()
    answer = client.post(
        url,
        {
            "year": "2011",
            "vehicle_class": "wagon",
            "vin": "1M8GDM9AXKP042788",
            "complaint": "Died at the lights",
            "mileage_in": "148210",
            "book_hours": "1.6",
        },
    )
    repair = RepairOrder.objects.get()
    assert answer["Location"] == f"/crew/repairs/{repair.number}/check-in/"
    assert (repair.vehicle.vin, repair.mileage_in, repair.book_hours) == ("1M8GDM9AXKP042788", 148_210, 16)


def test_a_refused_check_in_leaves_no_vehicle_behind_and_keeps_what_was_typed(
    screener: Person, volunteer: Person, client_for: SignIn
) -> None:
    application = eligible(screener)
    url = f"/crew/repairs/open/{application.code}/"
    typed = {"year": "1620", "vehicle_class": "wagon", "complaint": "Died at the lights"}
    answer = client_for(volunteer).post(url, typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "The model year 1620 cannot be right" in page
    assert "Died at the lights" in page
    assert not Vehicle.objects.exists()
    assert not RepairOrder.objects.exists()


def test_the_page_of_a_repair_tells_the_volunteer_no_name_and_no_income(
    screener: Person, volunteer: Person, owner: Person, client_for: SignIn
) -> None:
    repair = ready(screener, volunteer, owner, name="Zebedee Quill")
    page = client_for(volunteer).get(f"/crew/repairs/{repair.number}/").content.decode()
    assert repair.alias in page
    assert "Front pads down to metal" in page
    for secret in ("Quill", "555-0100", "1,000.00", "1000.00", "% of the guideline"):
        assert secret not in page


def test_cancelling_asks_first_and_tells_what_follows(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    approve(by=owner, repair=repair)
    client = client_for(volunteer)
    url = f"/crew/repairs/{repair.number}/cancel/"
    assert "$182.29 promised to it becomes free to commit again." in client.get(url).content.decode()
    repair.refresh_from_db()
    assert repair.state == State.APPROVED
    client.post(url, {"reason": "Sold it"})
    repair.refresh_from_db()
    assert repair.stop_reason == "Sold it"


def test_work_starts_by_a_button_and_never_by_a_link(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    approve(by=owner, repair=repair)
    client = client_for(volunteer)
    url = f"/crew/repairs/{repair.number}/start/"
    assert client.get(url).status_code == 405
    client.post(url)
    repair.refresh_from_db()
    assert repair.state == State.IN_WORK


def test_a_finding_is_noted_and_decided_by_someone_else(
    screener: Person, volunteer: Person, owner: Person, client_for: SignIn
) -> None:
    repair = checked_in(volunteer, eligible(screener))
    client_for(volunteer).post(f"/crew/repairs/{repair.number}/findings/add/", {"text": "Tie rod has play"})
    finding = Finding.objects.get()
    url = f"/crew/repairs/{repair.number}/findings/{finding.pk}/"
    assert client_for(volunteer).post(url, {"decision": "approve"}).status_code == 403
    client_for(owner).post(url, {"decision": "approve"})
    finding.refresh_from_db()
    assert (finding.decision, finding.decided_by) == ("approve", owner)


def test_the_list_is_searched_sorted_and_downloaded_as_shown(
    screener: Person, volunteer: Person, client_for: SignIn
) -> None:
    priced(volunteer, eligible(screener, "One"), job_type="brakes")
    checked_in(volunteer, eligible(screener, "Two"), job_type="exhaust")
    client = client_for(volunteer)
    page = client.get("/crew/repairs/", {"words": "brakes"}).content.decode()
    assert "RO-0001" in page
    assert "RO-0002" not in page
    file = b"".join(client.get("/crew/repairs/", {"state": "estimated", "format": "csv"}))
    text = file.decode("utf-8-sig")
    assert "RO-0001" in text
    assert "182.29" in text
    assert "RO-0002" not in text


def test_list_and_page_ask_the_database_the_same_number_of_times_however_much_there_is(
    screener: Person,
    volunteer: Person,
    client_for: SignIn,
    django_assert_max_num_queries: Callable[..., object],
) -> None:
    first = priced(volunteer, eligible(screener, "One"))
    client = client_for(volunteer)
    client.get("/crew/repairs/")
    with django_assert_max_num_queries(11) as few:  # type: ignore[attr-defined]
        client.get("/crew/repairs/")
    for name in ("Two", "Three", "Four"):
        priced(volunteer, eligible(screener, name), mechanic=volunteer)
    EstimateLine.objects.bulk_create(
        EstimateLine(repair=first, ordinal=place, kind="part", text="part", amount=Money(1))
        for place in range(10, 40)
    )
    with django_assert_max_num_queries(len(few)):  # type: ignore[attr-defined]
        client.get("/crew/repairs/")


def test_book_hours_stay_what_they_are_when_the_cause_is_saved_again(
    screener: Person, volunteer: Person, owner: Person, client_for: SignIn
) -> None:
    repair = ready(screener, volunteer, owner)
    client, url = client_for(volunteer), f"/crew/repairs/{repair.number}/cause/"
    form = client.get(url).context["form"]
    assert form["book_hours"].value() == "2.0"
    typed = {name: form[name].value() for name in form.fields}
    assert client.post(url, typed).status_code == 302
    repair.refresh_from_db()
    assert repair.book_hours == 20
