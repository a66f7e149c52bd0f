"""Lines that are hardly parts, or say nothing, are asked about on the draft; nothing is refused for it."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.receipts.actions import save_draft
from fund.receipts.fingerprint import fingerprint
from fund.receipts.rules_counter import odd_lines
from tests.fund.receipts.makers import line, paper


@pytest.mark.parametrize(
    ("text", "home", "asked"),
    [
        ("Gift card 25", "supplies", "is it for the fund?"),
        ("SNACK MIX", "part", "is it for the fund?"),
        ("energy drink", "personal", ""),
        ("misc", "supplies", "says nothing"),
        ("Dept 4", "part", "says nothing"),
        ("miscellaneous hose clamps", "part", ""),
        ("coolant", "fluid", ""),
        ("other side mirror", "part", ""),
    ],
)
def test_only_what_sounds_personal_or_vague_is_asked_about(text: str, home: str, asked: str) -> None:
    found = odd_lines([(text, home)])
    assert (asked in found[0]) if asked else not found


def test_the_draft_asks_and_can_be_posted_all_the_same(
    volunteer: Person, bank: None, client_for: Callable[[Person], Client]
) -> None:
    data = paper(
        volunteer,
        "9.00",
        "0.00",
        line("snack for the wait", "4.00", "supplies"),
        line("rags", "5.00", "supplies"),
    )
    draft, page = save_draft(by=volunteer, data=data), client_for(volunteer)
    address = reverse("receipts:receipt", args=[draft.code])
    assert "“snack for the wait”: is it for the fund?" in page.get(address).content.decode()
    page.post(reverse("receipts:post", args=[draft.code]), {"seen": fingerprint(draft)})
    draft.refresh_from_db()
    assert draft.state == "posted"
    assert "is it for the fund?" not in page.get(address).content.decode()
