"""Do we already have this? Asked while an estimate is written."""

from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from fund.money import Money
from fund.receipts.actions_shelf import issue_from_shelf
from fund.receipts.models import ShelfLot
from jobs.estimates.actions import set_estimate
from jobs.estimates.queries_shelf import lots_by_line
from jobs.estimates.rules import Kind, LineDraft
from jobs.repairs.models import RepairOrder
from tests.conftest import TODAY
from tests.fund.receipts.makers import bought, line, paper
from tests.jobs.estimates.test_editor_page import row
from tests.jobs.workshop import checked_in, eligible

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
THERE, EDIT, PAGE = "/crew/repairs/lines/shelf/", "/crew/repairs/RO-0001/estimate/", "/crew/repairs/RO-0001/"


@pytest.fixture
def lot(volunteer: Person) -> ShelfLot:
    """12 quarts of coolant at 113.88 with 9.39 of tax on the shelf, of which 9 are taken: 30.82 is left."""
    goods = line("Coolant, universal", "113.88", "shelf", quantity=12_000, unit="quart")
    bought(volunteer, paper(volunteer, "123.27", "9.39", goods))
    found = ShelfLot.objects.get()
    issue_from_shelf(by=volunteer, lot=found, quantity=9_000, on=TODAY, home="supplies")
    found.refresh_from_db()
    return found


@pytest.fixture
def repair(screener: Person, volunteer: Person) -> RepairOrder:
    return checked_in(volunteer, eligible(screener))


def text_of(answer: object) -> str:
    return " ".join(answer.content.decode().split())  # type: ignore[attr-defined]


def test_while_a_line_is_typed_the_shelf_answers_with_quantity_cost_and_the_way_there(
    lot: ShelfLot, volunteer: Person, client_for: SignIn
) -> None:
    answer = client_for(volunteer).get(THERE, {"line-4-text": "coolant"})
    assert answer.status_code == 200
    said = text_of(answer)
    assert f'<a href="/crew/shelf/lots/{lot.code}/">Coolant, universal</a>, 3 quarts, cost $30.82' in said
    assert "<html" not in said


@pytest.mark.parametrize("typed", ["", "c", "co", "brake pads", "for the new set", "coolant pump"])
def test_what_is_not_there_is_not_spoken_of(
    lot: ShelfLot, volunteer: Person, client_for: SignIn, typed: str
) -> None:
    assert text_of(client_for(volunteer).get(THERE, {"line-0-text": typed})) == ""


def test_a_lot_that_is_used_up_is_not_there(lot: ShelfLot, volunteer: Person) -> None:
    issue_from_shelf(by=volunteer, lot=lot, quantity=3_000, on=TODAY, home="supplies")
    assert lots_by_line(["coolant"]) == [[]]


def test_each_row_gets_its_own_lots(lot: ShelfLot, volunteer: Person) -> None:
    goods = line("Brake cleaner", "8.00", "shelf", quantity=2_000)
    bought(volunteer, paper(volunteer, "8.00", "0.00", goods, number="2"))
    found = lots_by_line(["coolant", "", "brake cleaner", "tie rod"])
    assert [[one.item for one in lots] for lots in found] == [
        ["Coolant, universal"],
        [],
        ["Brake cleaner"],
        [],
    ]


def test_without_a_script_adding_up_shows_it_beside_the_row(
    lot: ShelfLot, repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    typed = {"rows": "1", **row(0, "fluid", "Coolant", "30.00"), "act": "sum"}
    page = text_of(client_for(volunteer).post(EDIT, typed))
    assert "On the shelf already:" in page
    assert f"/crew/shelf/lots/{lot.code}/" in page


@pytest.mark.parametrize("kind", ["core deposit", "tax", "fee", "outside work", "contingency"])
def test_a_line_that_is_no_part_and_no_fluid_is_not_looked_up(
    lot: ShelfLot, repair: RepairOrder, volunteer: Person, client_for: SignIn, kind: str
) -> None:
    typed = {"rows": "1", **row(0, kind, "Coolant", "30.00"), "act": "sum"}
    assert "On the shelf already:" not in text_of(client_for(volunteer).post(EDIT, typed))


def test_after_saving_the_editor_and_the_page_of_the_repair_say_it(
    lot: ShelfLot, repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    set_estimate(by=volunteer, repair=repair, lines=[LineDraft(Kind.FLUID, "coolant", Money(30_00))])
    for path in (EDIT, PAGE):
        page = text_of(client_for(volunteer).get(path))
        assert "Coolant, universal</a>, 3 quarts, cost $30.82" in page, path


def test_it_asks_the_database_once_for_all_rows(
    lot: ShelfLot, django_assert_num_queries: Callable[..., object]
) -> None:
    with django_assert_num_queries(1):  # type: ignore[attr-defined]
        lots_by_line([f"coolant {'x' * place}" for place in range(50)])
