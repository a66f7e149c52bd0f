import pytest

from fund.access.models import Person
from jobs.approvals.actions import approve
from jobs.hours.models import Skill
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from tests.jobs.workshop import money_in_bank, ready


@pytest.fixture
def repair(
    owner: Person, treasurer: Person, screener: Person, volunteer: Person, volunteer2: Person
) -> RepairOrder:
    """A brake job in the bay since today, Mar 15, with Tavi as its mechanic."""
    money_in_bank(treasurer, 5_000_00)
    order = ready(screener, volunteer, owner, mechanic=volunteer, job_type="brakes")
    approve(by=owner, repair=order)
    return start_work(by=volunteer, repair=order)


@pytest.fixture
def mechanic(db: None) -> Skill:
    return Skill.objects.get(code="mechanic")


@pytest.fixture
def helper(db: None) -> Skill:
    return Skill.objects.get(code="helper")
