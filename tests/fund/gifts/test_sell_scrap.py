"""Old rotors sold as scrap: other income counted by two and banked like any cash, never a gift."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.gifts.actions_cash import bank_deposit, void_count
from fund.gifts.actions_scrap import sell_scrap
from fund.gifts.models import CashCount, Gift
from fund.gifts.proofs import undeposited_breaks
from fund.ledger.queries import balance
from fund.refusal import BadInput, NotAllowed, NotReady, TwoPeopleNeeded
from tests.fund.receipts.makers import entry_lines, m

DAY = date(2026, 3, 10)
TOLD: dict[str, Any] = {
    "on": DAY, "what": "old rotors", "yard": "Old Quay Salvage", "denominations": {1000: 1, 500: 1, 100: 3},
}  # fmt: skip


def test_old_rotors_are_sold_for_eighteen_dollars_by_two(volunteer: Person, volunteer2: Person) -> None:
    count = sell_scrap(by=volunteer, second=volunteer2, **TOLD)
    assert entry_lines(count.entry_id) == [("1010", "18.00", "", ""), ("4050", "-18.00", "", "")]
    assert (count.counted_by, count.second_by, count.place) == (
        volunteer, volunteer2, "Scrap: old rotors, Old Quay Salvage",
    )  # fmt: skip
    assert (Gift.objects.count(), list(undeposited_breaks())) == (0, [])


def test_the_cash_is_banked_with_the_counts(volunteer: Person, volunteer2: Person, treasurer: Person) -> None:
    count = sell_scrap(by=volunteer, second=volunteer2, **TOLD)
    deposit = bank_deposit(by=treasurer, on=DAY, counts=[count])
    assert entry_lines(deposit.entry_id) == [("1000", "18.00", "", ""), ("1010", "-18.00", "", "")]
    assert list(undeposited_breaks()) == []


def test_a_sale_written_wrongly_is_void_and_leaves_no_income(
    volunteer: Person, volunteer2: Person, treasurer: Person
) -> None:
    count = sell_scrap(by=volunteer, second=volunteer2, **TOLD)
    void_count(by=treasurer, count=count, reason="written twice")
    assert (balance("1010"), balance("4050"), list(undeposited_breaks())) == (m("0.00"), m("0.00"), [])


@pytest.mark.parametrize(
    ("change", "refusal", "words"),
    [
        ({"what": "catalytic converter"}, NotReady, "its own log, with the VIN"),
        ({"what": "two old Converters"}, NotReady, "its own log"),
        ({"what": " "}, BadInput, "what was sold"),
        ({"yard": ""}, BadInput, "which yard"),
        ({"denominations": {100: 0}}, BadInput, "count is empty"),
        ({"denominations": {300: 1}}, BadInput, "whole pieces"),
        ({"on": date(2026, 3, 16)}, BadInput, "after today"),
    ],
)
def test_what_cannot_be_sold_so_is_refused(
    change: dict[str, Any], refusal: type[Exception], words: str, volunteer: Person, volunteer2: Person
) -> None:
    with pytest.raises(refusal, match=words):
        sell_scrap(by=volunteer, second=volunteer2, **{**TOLD, **change})
    assert CashCount.objects.count() == 0


def test_nobody_sells_alone_or_without_the_power(volunteer: Person, accountant: Person) -> None:
    with pytest.raises(TwoPeopleNeeded):
        sell_scrap(by=volunteer, second=volunteer, **TOLD)
    with pytest.raises(NotAllowed):
        sell_scrap(by=volunteer, second=accountant, **TOLD)


def test_the_page_takes_both_signatures_and_keeps_what_was_typed(
    volunteer: Person, volunteer2: Person, client_for: Callable[[Person], Client]
) -> None:
    volunteer2.set_password("a dozen worn wiper blades")
    volunteer2.save()
    page, address = client_for(volunteer), reverse("gifts:scrap-new")
    assert address in page.get(reverse("gifts:counts")).content.decode()
    typed = {
        "on": "2026-03-10",
        "what": "old rotors",
        "yard": "Old Quay Salvage",
        "face_1000": "1",
        "face_100": "8",
    }
    typed |= {"second_name": volunteer2.username, "second_password": "wrong"}
    refused = page.post(address, typed)
    assert refused.status_code == 422
    assert 'value="old rotors"' in refused.content.decode()
    done = page.post(address, {**typed, "second_password": "a dozen worn wiper blades"}, follow=True)
    shown = done.content.decode()
    assert "$18.00 for scrap." in shown
    assert "Scrap: old rotors, Old Quay Salvage" in shown
    assert page.get(reverse("gifts:count-sheet", args=[CashCount.objects.get().code])).status_code == 200
