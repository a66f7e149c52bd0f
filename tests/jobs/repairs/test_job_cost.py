"""What a repair has cost, against a published job cost.

Source: OpenStax, Principles of Accounting, vol. 2, 4.4 and 4.5 (CC BY-NC-SA 4.0; figures only): the job
sheet of MAC001 and the materials of the four jobs of that month. Labor and overhead of the example are no
cash cost of a repair fund and stay out.
"""

import pytest

from fund.access.models import Person
from fund.ledger import chart
from fund.ledger.actions import add_cost_object, post_many
from fund.ledger.queries import cost_of, costs_of
from fund.ledger.rules import EntryDraft, LineDraft, cr, dr
from fund.money import Money
from jobs.repairs.queries import actual_cost
from tests.conftest import TODAY

pytestmark = pytest.mark.django_db

# Job sheet of MAC001: vinyl 300; black ink 2 at 50; red 60; gold 60; grommets 12 at 10; wood 40 at 1.50.
MAC001 = [(1, 300_00), (2, 50_00), (1, 60_00), (1, 60_00), (12, 10_00), (40, 1_50)]
MATERIALS = {"SWM505": 0, "POR143": 200_00, "MAC001": 700_00, "TRJ441": 500_00}
TOTAL_MATERIALS = 1_400_00


def _book(by: Person, rows: list[LineDraft]) -> None:
    amount = Money(sum(row.amount.minor for row in rows))
    lines = [*rows, cr(chart.BANK, amount)]
    post_many(by=by, drafts=[EntryDraft("receipt", TODAY, "Materials", lines)])


def test_the_sheet_of_mac001_adds_up_to_its_published_700(treasurer: Person) -> None:
    add_cost_object(by=treasurer, code="MAC001", label="sign")
    _book(treasurer, [dr(chart.PARTS, Money(each) * count, cost_object="MAC001") for count, each in MAC001])
    assert cost_of("MAC001") == Money(700_00)
    assert actual_cost("MAC001").cost == Money(700_00)


def test_the_four_jobs_have_their_published_materials_and_total(treasurer: Person) -> None:
    for code in MATERIALS:
        add_cost_object(by=treasurer, code=code, label="sign")
    rows = [dr(chart.PARTS, Money(cost), cost_object=code) for code, cost in MATERIALS.items() if cost]
    _book(treasurer, rows)
    found = costs_of(list(MATERIALS))
    assert {code: found.get(code, Money.zero).minor for code in MATERIALS} == MATERIALS
    assert sum(amount.minor for amount in found.values()) == TOTAL_MATERIALS


def test_a_core_deposit_and_donated_labor_are_beside_the_cost_and_never_in_it(treasurer: Person) -> None:
    add_cost_object(by=treasurer, code="RO-0009", label="Birch, minivan")
    _book(
        treasurer,
        [
            dr(chart.PARTS, Money(232_73), cost_object="RO-0009"),
            dr(chart.CORES, Money(55_00), cost_object="RO-0009"),
        ],
    )
    lines = [
        dr(chart.LABOR, Money(90_00), cost_object="RO-0009"),
        cr(chart.GIFTS_LABOR, Money(90_00), cost_object="RO-0009"),
    ]
    post_many(by=treasurer, drafts=[EntryDraft("hours", TODAY, "Hours", lines)])
    found = actual_cost("RO-0009")
    assert found.cost == Money(232_73)
    assert found.cores_out == Money(55_00)
