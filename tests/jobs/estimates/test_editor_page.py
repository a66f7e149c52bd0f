from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from fund.money import Money
from jobs.approvals.actions import approve
from jobs.estimates.models import EstimateLine
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from tests.jobs.workshop import checked_in, eligible, money_in_bank, ready

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]


def row(place: int, kind: str, text: str, amount: str, **more: str) -> dict[str, str]:
    cells = {
        "kind": kind,
        "text": text,
        "amount": amount,
        "quantity": "",
        "unit": "",
        "condition": "",
        **more,
    }
    return {f"line-{place}-{name}": value for name, value in cells.items()}


ALTERNATOR = {
    "rows": "4",
    **row(0, "part", "alternator", "214.99", condition="reman"),
    **row(1, "tax", "sales tax", "17.74"),
    **row(2, "core deposit", "old alternator", "55.00"),
    **row(3, "part", "", ""),
}


@pytest.fixture
def repair(screener: Person, volunteer: Person) -> RepairOrder:
    return checked_in(volunteer, eligible(screener))


def test_lines_are_saved_and_empty_rows_are_none(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    answer = client_for(volunteer).post(
        f"/crew/repairs/{repair.number}/estimate/", {**ALTERNATOR, "act": "save"}
    )
    assert answer.status_code == 302
    lines = [(line.kind, line.amount) for line in repair.estimate_lines.all()]
    assert lines == [("part", Money(214_99)), ("tax", Money(17_74)), ("core deposit", Money(55_00))]
    repair.refresh_from_db()
    assert (repair.state, repair.estimate_by) == (State.ESTIMATED, volunteer)


def test_more_rows_keep_everything_typed_and_save_nothing(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    answer = client_for(volunteer).post(
        f"/crew/repairs/{repair.number}/estimate/", {**ALTERNATOR, "line-3-text": "half a row", "act": "more"}
    )
    page = answer.content.decode()
    assert answer.status_code == 200
    assert 'value="half a row"' in page
    assert 'value="214.99"' in page
    assert 'name="line-8-text"' in page
    assert 'name="line-9-text"' not in page
    assert not EstimateLine.objects.exists()


def test_adding_up_shows_cost_and_deposits_apart(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    answer = client_for(volunteer).post(
        f"/crew/repairs/{repair.number}/estimate/", {**ALTERNATOR, "act": "sum"}
    )
    page = answer.content.decode()
    for figure in ("232.73", "55.00", "287.73"):
        assert figure in page
    assert not EstimateLine.objects.exists()


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        (row(3, "part", "belt", "12,5x"), "Line 4, amount"),
        (row(3, "part", "belt", ""), "Write what it costs"),
        (row(3, "part", "", "12.50"), "Say what the amount is for"),
        (row(3, "part", "belt", "-4.00"), "cannot be below zero"),
        (row(3, "fluid", "coolant", "9.49", quantity="0"), "Line 4, quantity"),
    ],
)
def test_a_wrong_row_is_named_and_nothing_typed_is_lost(
    repair: RepairOrder, volunteer: Person, client_for: SignIn, wrong: dict[str, str], sentence: str
) -> None:
    answer = client_for(volunteer).post(
        f"/crew/repairs/{repair.number}/estimate/", {**ALTERNATOR, **wrong, "act": "save"}
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert 'value="alternator"' in page
    assert f'value="{wrong["line-3-amount"]}"' in page or not wrong["line-3-amount"]
    assert not EstimateLine.objects.exists()


def test_only_deposits_are_no_estimate(repair: RepairOrder, volunteer: Person, client_for: SignIn) -> None:
    typed = {"rows": "1", **row(0, "core deposit", "old alternator", "55.00"), "act": "save"}
    answer = client_for(volunteer).post(f"/crew/repairs/{repair.number}/estimate/", typed)
    assert answer.status_code == 422
    assert "only core deposits" in answer.content.decode()


def test_a_supplement_is_asked_for_with_its_reason(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    money_in_bank(treasurer, 3_000_00)
    approved = ready(screener, volunteer, owner)
    approve(by=owner, repair=approved)
    url = f"/crew/repairs/{approved.number}/supplement/"
    typed = {"rows": "1", **row(0, "part", "caliper", "61.20"), "act": "save"}
    answer = client_for(volunteer).post(url, typed)
    assert answer.status_code == 422
    assert 'value="caliper"' in answer.content.decode()
    client_for(volunteer).post(url, {**typed, "reason": "Seized"})
    assert approved.supplement_requests.get().reason == "Seized"
