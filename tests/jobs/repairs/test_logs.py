from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fund import clock
from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady, TwoPeopleNeeded
from jobs.approvals.actions import approve
from jobs.repairs.actions_logs import log_converter, log_converter_end, log_waste
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from jobs.repairs.models_logs import Converter, ConverterEnd, Waste
from jobs.repairs.queries_logs import in_the_shop, standing_waste
from tests.jobs.workshop import checked_in, eligible, money_in_bank, ready

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
VIN = "1M8GDM9AXKP042788"  # the worked number of 49 CFR 565.15(c)


@pytest.fixture
def repair(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 3_000_00)
    order = ready(screener, volunteer, owner)
    order.vehicle.vin = VIN
    order.vehicle.save()
    approve(by=owner, repair=order)
    return start_work(by=volunteer, repair=order)


def test_two_people_log_a_converter_with_its_vin_sealed(
    repair: RepairOrder, volunteer: Person, volunteer2: Person
) -> None:
    log_converter(by=volunteer, second=volunteer2, repair=repair, marking="KA-881")
    row = Converter.objects.get()
    assert (row.vin, row.marking, row.by, row.second) == (VIN, "KA-881", volunteer, volunteer2)
    with connection.cursor() as cursor:
        cursor.execute("SELECT vin FROM jobs_converter")
        assert VIN not in cursor.fetchone()[0]
    with pytest.raises(DatabaseError), transaction.atomic():
        Converter.objects.update(marking="other")


def test_where_it_went_is_written_once_by_two_people_with_its_paper(
    repair: RepairOrder, volunteer: Person, volunteer2: Person
) -> None:
    row = log_converter(by=volunteer, second=volunteer2, repair=repair, marking="KA-881")
    with pytest.raises(TwoPeopleNeeded):
        log_converter_end(
            by=volunteer, second=volunteer, converter=row, went="recycler", where="Yard", paper="7"
        )
    with pytest.raises(BadInput, match="number of the receipt"):
        log_converter_end(by=volunteer, second=volunteer2, converter=row, went="recycler", where="Yard")
    with pytest.raises(BadInput, match="cannot have left before"):
        log_converter_end(
            by=volunteer,
            second=volunteer2,
            converter=row,
            went="owner",
            where="Owner",
            on=row.on - timedelta(days=1),
        )
    log_converter_end(
        by=volunteer, second=volunteer2, converter=row, went="core", where="Gantry Parts", paper="7"
    )
    assert ConverterEnd.objects.get().where == "Gantry Parts"
    with pytest.raises(AlreadyDone):
        log_converter_end(by=volunteer, second=volunteer2, converter=row, went="owner", where="Owner")
    with pytest.raises(DatabaseError), transaction.atomic():
        ConverterEnd.objects.all().delete()


def test_one_person_alone_logs_no_converter_and_none_twice(
    repair: RepairOrder, screener: Person, volunteer: Person, volunteer2: Person, treasurer: Person
) -> None:
    with pytest.raises(TwoPeopleNeeded):
        log_converter(by=volunteer, second=volunteer, repair=repair, marking="KA-881")
    with pytest.raises(NotAllowed):
        log_converter(by=treasurer, second=volunteer, repair=repair, marking="KA-881")
    with pytest.raises(BadInput, match="none to be read"):
        log_converter(by=volunteer, second=volunteer2, repair=repair, marking=" ")
    with pytest.raises(NotReady, match="nothing was taken off"):
        other = checked_in(volunteer, eligible(screener, "Other"))
        log_converter(by=volunteer, second=volunteer2, repair=other, marking="KA-881")
    log_converter(by=volunteer, second=volunteer2, repair=repair, marking="KA-881")
    with pytest.raises(AlreadyDone):
        log_converter(by=volunteer, second=volunteer2, repair=repair, marking="ka-881")


def test_waste_is_caught_and_taken_away_and_the_rest_stands_in_the_shop(
    repair: RepairOrder, volunteer: Person
) -> None:
    for quarts in (4_500, 9_250):
        log_waste(by=volunteer, direction="caught", kind="used oil", quantity=quarts, repair=repair)
    log_waste(by=volunteer, direction="caught", kind="battery", quantity=1_000)
    log_waste(
        by=volunteer, direction="taken", kind="used oil", quantity=10_000, where="County depot", paper="M-4"
    )
    assert in_the_shop("used oil") == 3_750
    assert standing_waste() == [("battery", "1 pcs"), ("used oil", "3.75 qt")]


def test_a_slip_of_the_pen_is_taken_back_by_a_row_that_says_why(volunteer: Person) -> None:
    log_waste(by=volunteer, direction="caught", kind="tire", quantity=40_000)
    with pytest.raises(BadInput, match="which one, and why"):
        log_waste(by=volunteer, direction="caught", kind="tire", quantity=-36_000)
    log_waste(by=volunteer, direction="caught", kind="tire", quantity=-36_000, words="4, not 40")
    assert in_the_shop("tire") == 4_000
    with pytest.raises(DatabaseError), transaction.atomic():
        Waste.objects.all().delete()


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"direction": "taken", "quantity": 1_000, "where": "Depot"}, "more used oil than was written down"),
        ({"direction": "taken", "quantity": 1_000}, "where it was taken"),
        ({"direction": "caught", "quantity": 0}, "how much it was"),
        ({"direction": "lost", "quantity": 1_000}, "caught here or taken away"),
        ({"direction": "caught", "kind": "soup", "quantity": 1_000}, "Say what it is"),
    ],
)
def test_waste_that_cannot_be_is_refused(volunteer: Person, facts: dict[str, object], sentence: str) -> None:
    with pytest.raises(BadInput, match=sentence):
        log_waste(by=volunteer, **{"kind": "used oil", **facts})  # type: ignore[arg-type]
    assert not Waste.objects.exists()


def test_the_pages_log_a_converter_and_where_it_went(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, client_for: SignIn
) -> None:
    client, day = client_for(volunteer), str(clock.today())
    signed = {"second_name": volunteer2.username, "second_password": "long road to the mill"}
    add = {"repair": repair.pk, "on": day, "marking": "KA-881", **signed}
    for wrong in (
        {"second_name": volunteer.username},
        {"second_password": "guessed"},
        {"second_password": ""},
    ):
        assert client.post("/crew/repairs/converters/add/", {**add, **wrong}).status_code == 422
    assert not Converter.objects.exists()
    page = client.post("/crew/repairs/converters/add/", add, follow=True).content.decode()
    assert "KA-881" in page
    assert "in the shop" in page
    url = f"/crew/repairs/converters/{Converter.objects.get().pk}/"
    typed = {"on": day, "went": "recycler", "where": "Weir Yard", "paper": "", **signed}
    answer = client.post(url, typed)
    assert answer.status_code == 422
    assert 'value="Weir Yard"' in answer.content.decode()
    page = client.post(url, {**typed, "paper": "M-9"}, follow=True).content.decode()
    assert "Weir Yard" in page
    assert '<form class="form"' not in client.get(url).content.decode()


def test_the_page_logs_waste_and_shows_what_stands(volunteer: Person, client_for: SignIn) -> None:
    client = client_for(volunteer)
    typed = {"direction": "caught", "kind": "coolant", "quantity": "9.5", "on": str(clock.today())}
    page = client.post("/crew/repairs/waste/add/", typed, follow=True).content.decode()
    assert "Coolant: 9.5 qt" in page
    assert "marked “Used Oil”" in page
    assert client.post("/crew/repairs/waste/add/", {**typed, "quantity": "a lot"}).status_code == 422


def test_the_lists_ask_the_database_the_same_however_long_they_are(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, client_for: SignIn
) -> None:
    client = client_for(volunteer)
    counts: dict[str, list[int]] = {"converters": [], "waste": []}
    for start in (0, 3):
        for at in range(start, start + 3 + start * 3):
            log_converter(by=volunteer, second=volunteer2, repair=repair, marking=f"N-{at}")
            log_waste(by=volunteer, direction="caught", kind="tire", quantity=4_000, repair=repair)
        for name, found in counts.items():
            client.get(f"/crew/repairs/{name}/")
            with CaptureQueriesContext(connection) as asked:
                assert client.get(f"/crew/repairs/{name}/").status_code == 200
            found.append(len(asked))
    for few, many in counts.values():
        assert few == many <= 12


def test_converters_still_in_the_shop_are_found_apart(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, client_for: SignIn
) -> None:
    gone = log_converter(by=volunteer, second=volunteer2, repair=repair, marking="GONE-1")
    log_converter(by=volunteer, second=volunteer2, repair=repair, marking="HERE-2")
    log_converter_end(by=volunteer, second=volunteer2, converter=gone, went="owner", where="Owner")
    client = client_for(volunteer)
    page = client.get("/crew/repairs/converters/", {"here": "true"}).content.decode()
    assert "HERE-2" in page
    assert "GONE-1" not in page
    page = client.get("/crew/repairs/converters/", {"here": "false"}).content.decode()
    assert "GONE-1" in page
    assert "HERE-2" not in page
