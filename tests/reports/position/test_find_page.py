"""Going straight to what a code names."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.codes import PAGES, address_of

ForPerson = Callable[[Person], Client]


@pytest.mark.parametrize("prefix", PAGES)
def test_every_kind_of_code_has_its_page(prefix: str) -> None:
    assert address_of(f"{prefix}0001") == reverse(PAGES[prefix], args=[f"{prefix}0001"])


def test_a_repair_order_is_not_taken_for_a_receipt() -> None:
    assert address_of(" ro-0004 ") == reverse("repairs:repair", args=["RO-0004"])
    assert address_of("R-00004") == reverse("receipts:receipt", args=["R-00004"])


def test_a_bare_number_is_an_entry() -> None:
    assert address_of("12") == address_of("entry 12") == reverse("ledger:entry", args=[12])


@pytest.mark.parametrize("typed", ["", "Alder", "X-0001", "RO-", "RO-0001/../x", "1; drop"])
def test_what_is_no_code_leads_nowhere(typed: str) -> None:
    assert address_of(typed) is None


def test_the_page_leads_on_or_says_what_a_code_looks_like(volunteer: Person, client_for: ForPerson) -> None:
    client = client_for(volunteer)
    assert client.get(reverse("position:find"), {"code": "ro-0004"})["Location"] == "/crew/repairs/RO-0004/"
    answer = client.get(reverse("position:find"), {"code": "Alder"})
    assert answer.status_code == 404
    assert "Codes are written like" in answer.content.decode()
