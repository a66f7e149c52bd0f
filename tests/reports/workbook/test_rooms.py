"""The sheets of the rooms, filled through the real actions and recalculated."""

from datetime import date
from pathlib import Path

import pytest

from fund.access.models import Person
from fund.gifts.actions import add_supporter, record_gift
from fund.money import Money
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.rules import LineInput, PortionInput, ReceiptInput
from jobs.approvals.actions import approve
from jobs.hours.actions import add_hours, take_back_hours
from jobs.hours.models import Skill
from jobs.repairs.actions_steps import start_work
from reports.workbook.actions import workbook
from tests.jobs.workshop import money_in_bank, ready
from tests.reports.workbook.reading import recalculated, value_beside

pytestmark = pytest.mark.needs_soffice
TODAY = date(2026, 3, 15)


def test_repairs_gifts_receipts_and_hours_tie_to_the_ledger(
    tmp_path: Path, owner: Person, treasurer: Person, screener: Person, volunteer: Person
) -> None:
    """A brake job approved at 182.29 and bought for 182.29 with a core of 44.00; 2.4 h at 28.81 (BLS, OEWS May
    2023, 49-3031) are worth 69.14 and stay outside the money."""
    money_in_bank(treasurer, 5_000_00)
    supporter = add_supporter(by=treasurer, name="Rowan Vale")
    record_gift(
        by=treasurer,
        kind="check",
        received_on=TODAY,
        amount=Money(40_00),
        supporter=supporter,
        check_number="77",
    )
    repair = ready(screener, volunteer, owner, mechanic=volunteer, job_type="brakes")
    approve(by=owner, repair=repair)
    start_work(by=volunteer, repair=repair)
    lines = [
        LineInput("pads and rotors", Money(168_40), [PortionInput("part", repair.number)], condition="new"),
        LineInput("core", Money(44_00), [PortionInput("core", repair.number)], taxable=False),
    ]
    data = ReceiptInput(
        "Gantry Parts", "4471", TODAY, Money(226_29), Money(13_89), "own_money", volunteer, lines
    )
    post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=data))
    mechanic = Skill.objects.get(code="mechanic")
    add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=24, skill=mechanic)
    wrong = add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=7, skill=mechanic)
    take_back_hours(by=volunteer, hours=wrong, reason="Entered twice")
    file = tmp_path / "books.xlsx"
    workbook(by=treasurer, start="2026-03", end="2026-03", path=file)
    sheets = recalculated(file, tmp_path)

    assert value_beside(sheets["Notes"], "Repairs: cost in these months = general ledger") == "agrees"
    repairs = sheets["Repairs"]
    heads, row = repairs[0], next(row for row in repairs if row[0] == repair.number)
    found = dict(zip(heads, row, strict=True))
    assert [
        found[name] for name in ("Estimate", "Approved amount", "Cost to date", "Cost in these months")
    ] == [182.29] * 4
    assert found["Over (+) or under (-) the approval"] == 0
    assert (found["Core deposits out"], found["Clock hours"], found["Book hours"]) == (44, 2.4, 2)
    assert found["Worth of skilled hours (not cash)"] == 69.14

    hours = next(row for row in sheets["Hours"] if row[0] == "Total")
    assert (round(hours[7], 2), round(hours[9], 2)) == (2.4, 69.14)
    receipt = next(row for row in sheets["Receipts"] if row[0] == "R-00001")
    assert (receipt[3], receipt[8], receipt[7]) == ("Gantry Parts", 226.29, 13.89)
    gifts = sheets["Gifts"]
    assert next(row for row in gifts if row[0] == "Total")[7] == 40
    assert [row[4] for row in gifts if row[0] == "G-00001"] == [supporter.code]
    bought = [row for row in sheets["General ledger"] if row[8] == repair.number and row[3] == "5000"]
    assert [(row[5], row[13]) for row in bought] == [(182.29, "Maren Holt")]
