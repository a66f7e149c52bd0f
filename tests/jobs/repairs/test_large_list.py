"""10,000 repairs, each with a promise: the lists that show them ask as often as with ten."""

from collections.abc import Callable, Iterator
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fund.access.models import Person
from fund.commitments.models import CommitmentMove
from fund.ledger.models import CostObject
from fund.money import Money
from jobs.estimates.models import EstimateLine
from jobs.repairs.models import RepairOrder
from tests.jobs.workshop import eligible, money_in_bank, priced

pytestmark = pytest.mark.django_db
REPAIRS = 10_000
PAGES = (
    "/crew/repairs/",
    "/crew/repairs/?page=150",
    "/crew/repairs/?sort=-cost",
    "/crew/repairs/?words=Alder&state=approved",
    "/crew/repairs/waiting/promised/",
    "/crew/repairs/waiting/promised/?look=1&sort=-amount",
    "/crew/repairs/waiting/decisions/",
    "/crew/",
)


def test_lists_of_ten_thousand_repairs_ask_as_often_as_of_ten(
    screener: Person,
    volunteer: Person,
    owner: Person,
    treasurer: Person,
    client_for: Callable[[Person], Client],
) -> None:
    money_in_bank(treasurer, 100_000_000_00)
    first = priced(volunteer, eligible(screener))
    client = client_for(owner)
    _grow(first, owner, range(2, 12))
    few = _asked(client)
    _grow(first, owner, range(12, REPAIRS + 1))
    many = _asked(client)
    assert RepairOrder.objects.count() == REPAIRS
    assert many == few
    assert max(asked for page, asked in many.items() if page != "/crew/") <= 12


def _asked(client: Client) -> dict[str, int]:
    seen = {}
    for page in PAGES:
        with CaptureQueriesContext(connection) as queries:
            assert client.get(page).status_code in (200, 404)
        seen[page] = len(queries)
    return seen


def _grow(first: RepairOrder, owner: Person, numbers: range) -> None:
    """Copies of one repair, approved for 50.00 each on days long past and near."""
    codes = [f"RO-{number:04}" for number in numbers]
    CostObject.objects.bulk_create(CostObject(code=code, label="Alder, compact car") for code in codes)
    copied = {
        field.name: getattr(first, field.name)
        for field in RepairOrder._meta.concrete_fields
        if field.name not in ("id", "number", "cost_object", "state", "approved_on")
    }
    days = [date(2026, 3, 15) - timedelta(days=number % 90) for number in numbers]
    RepairOrder.objects.bulk_create(
        (
            RepairOrder(**copied, number=code, cost_object_id=code, state="approved", approved_on=day)
            for code, day in zip(codes, days, strict=True)
        ),
        batch_size=400,
    )
    keys = RepairOrder.objects.filter(number__in=codes[:500]).values_list("pk", flat=True)
    EstimateLine.objects.bulk_create(
        EstimateLine(repair_id=key, ordinal=1, kind="part", text="pads", amount=Money(50_00)) for key in keys
    )
    CommitmentMove.objects.bulk_create(_moves(codes, days, owner), batch_size=400)


def _moves(codes: list[str], days: list[date], owner: Person) -> Iterator[CommitmentMove]:
    for code, day in zip(codes, days, strict=True):
        yield CommitmentMove(
            cost_object_id=code, purpose_id="general", kind="promise", amount=Money(50_00), on=day,
            until=day + timedelta(days=30), by=owner, reason="approved",
        )  # fmt: skip
