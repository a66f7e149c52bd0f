"""Every page of the repairs room, asked for by every role: a stranger 404, a role without the power 403."""

from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from jobs.approvals.actions import decline
from jobs.repairs.actions_findings import add_finding
from jobs.repairs.models import RepairOrder
from tests.jobs.workshop import eligible, ready

pytestmark = pytest.mark.django_db

WRITE = {"volunteer", "owner"}
APPROVE = {"owner", "treasurer"}
EVERYONE = {"owner", "treasurer", "screener", "volunteer", "accountant"}
PAGES = {
    "": EVERYONE,
    "open/": WRITE,
    "open/{asking}/": WRITE,
    "waiting/decisions/": APPROVE,
    "{number}/": EVERYONE,
    "{number}/complaint/": WRITE,
    "{number}/cause/": WRITE,
    "{number}/failure-point/": WRITE,
    "{number}/correction/": WRITE,
    "{number}/mechanic/": WRITE,
    "{number}/start/": WRITE,
    "{number}/cancel/": WRITE | APPROVE,
    "{number}/findings/add/": WRITE,
    "{number}/findings/{finding}/": WRITE | APPROVE,
    "{number}/estimate/": WRITE,
    "{number}/supplement/": WRITE,
    "{number}/approval/": APPROVE,
    "{number}/approval/{approval}/": APPROVE | {"accountant"},
    "{number}/tie/": EVERYONE,
}


@pytest.fixture
def crew(
    owner: Person, treasurer: Person, screener: Person, volunteer: Person, accountant: Person
) -> dict[str, Person]:
    people = (owner, treasurer, screener, volunteer, accountant)
    return dict(zip(("owner", "treasurer", "screener", "volunteer", "accountant"), people, strict=True))


@pytest.fixture
def parts(crew: dict[str, Person]) -> dict[str, object]:
    """What stands in the addresses: a declined repair with a finding, and a request that waits."""
    repair: RepairOrder = ready(crew["screener"], crew["volunteer"], crew["owner"])
    finding = add_finding(by=crew["volunteer"], repair=repair, text="Tie rod has play")
    approval = decline(by=crew["owner"], repair=repair, reason="Too dear")
    asking = eligible(crew["screener"], "Another")
    return {"number": repair.number, "finding": finding.pk, "approval": approval.pk, "asking": asking.code}


@pytest.mark.parametrize("page", PAGES)
def test_the_page_opens_for_its_roles_and_for_no_other(
    page: str,
    crew: dict[str, Person],
    parts: dict[str, object],
    client: Client,
    client_for: Callable[[Person], Client],
) -> None:
    url = "/crew/repairs/" + page.format(**parts)
    assert client.get(url).status_code == 404
    seen = {role: client_for(person).get(url).status_code for role, person in crew.items()}
    assert {role for role, code in seen.items() if code != 403} == PAGES[page]
    assert {code for code in seen.values() if code != 403} <= {200, 405}


def test_a_repair_order_that_is_not_there_is_not_found(
    volunteer: Person, client_for: Callable[[Person], Client]
) -> None:
    client = client_for(volunteer)
    for page in ("", "cause/", "estimate/", "tie/"):
        assert client.get(f"/crew/repairs/RO-9999/{page}").status_code == 404
