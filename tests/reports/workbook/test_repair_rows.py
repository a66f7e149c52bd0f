"""What the sheet of repairs says of approvals."""

from datetime import timedelta

import pytest

from fund import clock
from fund.access.models import Person
from fund.money import Money
from jobs.approvals.actions import approve
from jobs.approvals.actions_lapse import let_go
from jobs.approvals.actions_overspend import ratify_receipt
from reports.workbook.queries_jobs import repair_rows
from reports.workbook.rules import span_of
from reports.workbook.sheets_rooms import REPAIRS
from tests.conftest import TODAY
from tests.jobs.approvals.booked import draft_of
from tests.jobs.workshop import money_in_bank, part, ready

pytestmark = pytest.mark.django_db


def test_what_was_ratified_stands_apart_and_what_was_let_go_is_approved_no_more(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 5_000_00)
    over = ready(screener, volunteer, owner, part(400_00), name="Runs over")
    unused = ready(screener, volunteer, owner, part(300_00), name="Not used")
    for repair in (over, unused):
        approve(by=owner, repair=repair)
    ratify_receipt(by=owner, receipt=draft_of(volunteer, over, "465.00"), reason="The only one in town")
    with clock.at(TODAY + timedelta(days=60)):
        let_go(by=owner, repair=unused, reason="The part never came")
    heads = [column.heading for column in REPAIRS]
    rows = {
        row[0]: dict(zip(heads, row, strict=False)) for row in repair_rows(span_of("2026-03", "2026-05"), 99)
    }
    wanted = ("Approved amount", "Tolerance", "Ratified over the limit", "Cost to date")
    assert [rows[over.number][name] for name in wanted] == [
        Money(425_00), Money(40_00), Money(25_00), Money(465_00),
    ]  # fmt: skip
    assert [rows[unused.number][name] for name in wanted] == [Money.zero, Money.zero, None, Money.zero]
