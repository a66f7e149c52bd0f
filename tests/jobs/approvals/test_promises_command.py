"""The nightly command: which promises ran out or lie unused, and letting go of the unused ones."""

import json
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fund import clock
from fund.access.models import Person
from fund.commitments.queries import open_for
from fund.money import Money
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from tests.conftest import TODAY
from tests.jobs.workshop import money_in_bank, part, ready

pytestmark = pytest.mark.django_db


def told(*words: str) -> str:
    out = StringIO()
    call_command("promises", *words, stdout=out)
    return out.getvalue()


@pytest.fixture
def approved(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner, part(400_00))
    approve(by=owner, repair=repair)
    return repair


def test_it_tells_what_ran_out_and_lets_go_of_nothing_by_itself(approved: RepairOrder) -> None:
    assert told() == "0 promises on 2026-03-15, 0 let go.\n"
    assert "in use" in told("--all")
    with clock.at(TODAY + timedelta(days=31)):
        assert "RO-0001        400.00  last used 2026-03-15  Ran out on 2026-04-14, nothing bought" in told()
        (row,) = json.loads(
            told("--json", "--let-go", "--by", "maren")
        )  # ran out, yet not unused long enough
    assert (row["ran_out"], row["stale"], row["let_go"], row["promised"]) == (True, False, False, 400_00)
    assert open_for("RO-0001") == Money(400_00)


def test_at_night_the_unused_ones_are_let_go_once(approved: RepairOrder) -> None:
    with clock.at(TODAY + timedelta(days=60)):
        assert "1 promises on 2026-05-14, 1 let go." in told("--let-go", "--by", "maren")
        assert told("--let-go", "--by", "maren") == "0 promises on 2026-05-14, 0 let go.\n"
    approved.refresh_from_db()
    assert approved.state == State.CHECKED_IN
    assert open_for("RO-0001") == Money.zero
    assert approved.approvals.latest("pk").reason == "Nothing was bought for it in the fund's days"


def test_who_acts_must_be_said_when_several_may(approved: RepairOrder, treasurer: Person) -> None:
    answer_relation(by=treasurer, repair=approved, tie=False)
    with clock.at(TODAY + timedelta(days=60)):
        with pytest.raises(CommandError, match="Say who acts with --by") as refused:
            told("--let-go")
        assert refused.value.returncode == 2
        with pytest.raises(CommandError, match="Nobody of the crew"):
            told("--let-go", "--by", "nobody")
    assert open_for("RO-0001") == Money(400_00)
