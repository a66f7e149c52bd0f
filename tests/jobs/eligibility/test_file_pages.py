import csv
import io
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from fund.access.models import Person
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation
from jobs.repairs.models import RepairOrder
from tests.jobs.workshop import money_in_bank, ready

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]


@pytest.fixture
def given(
    screener: Person, volunteer: Person, volunteer2: Person, owner: Person, treasurer: Person
) -> RepairOrder:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    answer_relation(by=volunteer2, repair=repair, tie=True, words="A cousin")
    approve(by=owner, repair=repair)
    RepairOrder.objects.filter(pk=repair.pk).update(state="handed back", handed_back_on="2026-03-15")
    return repair


def _rows(client: Client, path: str) -> list[dict[str, str]]:
    answer: Any = client.get(path)
    return list(csv.DictReader(io.StringIO(answer.getvalue().decode("utf-8-sig"))))


def test_the_list_tells_what_is_missing_and_the_download_holds_all_eight(
    given: RepairOrder, screener: Person, client_for: SignIn
) -> None:
    client = client_for(screener)
    page = client.get("/crew/intake/help-given/").content.decode()
    assert "1 file lacks something" in page
    assert "complete description of the help" in page
    assert "1 Test Lane" not in page
    rows = _rows(client, "/crew/intake/help-given/?format=csv")
    assert len(rows) == 1
    assert len(rows[0]) == 5 + 8
    assert rows[0]["Name, address and amount"] == "Person of the tests, 1 Test Lane, Larkwater: $0.00"
    one = client.get("/crew/intake/help-given/RO-0001/").content.decode()
    assert "Screened the household: Ines Moreau. Approved: Maren Holt" in one


def test_the_accountant_gets_the_related_parties_and_no_name_of_a_household(
    given: RepairOrder, accountant: Person, client_for: SignIn
) -> None:
    client = client_for(accountant)
    page = client.get("/crew/intake/related-parties/").content.decode()
    assert "Jun Okafor" in page
    assert "A cousin" in page
    assert "Person of the tests" not in page
    rows = _rows(client, "/crew/intake/related-parties/?format=csv")
    assert [row["Person"] for row in rows] == ["Jun Okafor"]
    assert client.get("/crew/intake/help-given/").status_code == 403
