"""A form that is sent twice (the answer was lost, the page loaded again) is booked once, and leads to what it made."""

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from fund import clock
from fund.access.models import Person
from fund.gifts.actions_loans import record_loan
from fund.gifts.models import CashCount, Deposit, Gift, Loan, LoanMove, Supporter
from fund.ledger.models import Entry
from fund.money import Money
from fund.repayments.actions_petty import set_petty_cash
from fund.repayments.models import PettyCashCount
from fund.sent.models import SentForm
from tests.fund.gifts.cases import ON, supporter
from tests.fund.gifts.pages import SignIn, text_of
from tests.fund.receipts.makers import fill_bank

Told = dict[str, Any]
PASSWORD = "long road to the mill"
TWICE = "This form was sent twice and done once."


@pytest.fixture
def ada(treasurer: Person) -> Supporter:
    return supporter(treasurer)


def token_of(client: Client, address: str) -> str:
    found = re.search(r'name="form_token" value="([0-9a-f]{32})"', client.get(address).content.decode())
    assert found, f"the form of {address} carries no token"
    return found[1]


def cash(ada: Supporter) -> tuple[str, Told]:
    told = {"kind": "cash", "supporter": f"{ada.code}", "amount": "50.00", "received_on": "2026-03-02"}
    return reverse("gifts:gift-new"), {**told, "purpose": "general", "nature": "gift"}


def transfer(ada: Supporter) -> tuple[str, Told]:
    address, told = cash(ada)
    return address, {**told, "kind": "transfer"}


def count(ada: Supporter) -> tuple[str, Told]:
    signed = {"second_name": "tavi", "second_password": PASSWORD}
    return reverse("gifts:count-new"), {"on": "2026-03-02", "place": "jar", "face_100": "7", **signed}


def loan(ada: Supporter) -> tuple[str, Told]:
    told = {"lender": ada.code, "amount": "500.00", "on": "2026-03-02", "words": "for a lift, back in June"}
    return reverse("gifts:loan-new"), told


def by_hand(ada: Supporter) -> tuple[str, Told]:
    first = {"line-0-account": "5500", "line-0-purpose": "general", "line-0-debit": "20.00"}
    second = {"line-1-account": "1000", "line-1-purpose": "general", "line-1-credit": "20.00"}
    rows = {"line-TOTAL_FORMS": "6", "line-INITIAL_FORMS": "0"}
    return reverse("ledger:post-entry"), {"day": "2026-03-02", "text": "Insurance", **rows, **first, **second}


FORMS = [cash, transfer, count, loan, by_hand]


@pytest.mark.parametrize("form", FORMS)
def test_a_form_sent_twice_is_booked_once_and_leads_to_what_it_made(
    treasurer: Person,
    volunteer: Person,
    ada: Supporter,
    client_for: SignIn,
    form: Callable[[Supporter], tuple[str, Told]],
) -> None:
    client, (address, told) = client_for(treasurer), form(ada)
    told |= {"form_token": token_of(client, address)}
    first = client.post(address, told)
    assert first.status_code == 302, text_of(first)
    booked = Entry.objects.count()
    second = client.post(address, told)
    assert (second.status_code, second["Location"]) == (302, first["Location"])
    assert TWICE in text_of(client.get(second["Location"]))
    assert Entry.objects.count() == booked == 1


@pytest.mark.parametrize("form", FORMS)
def test_two_forms_that_say_the_same_are_two(
    treasurer: Person,
    volunteer: Person,
    ada: Supporter,
    client_for: SignIn,
    form: Callable[[Supporter], tuple[str, Told]],
) -> None:
    client, (address, told) = client_for(treasurer), form(ada)
    for _ in range(2):
        assert client.post(address, {**told, "form_token": token_of(client, address)}).status_code == 302
    assert Entry.objects.count() == 2


def test_a_deposit_sent_twice_leads_to_the_deposit_though_nothing_waits_any_more(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client, (address, told) = client_for(treasurer), cash(ada)
    client.post(address, told)
    address, chosen = reverse("gifts:deposit-new"), [Gift.objects.get().code]
    told = {"on": "2026-03-03", "chosen": chosen, "form_token": token_of(client, address)}
    first, second = client.post(address, told), client.post(address, told)
    assert first["Location"] == second["Location"] == reverse("gifts:deposit", args=["D-0001"])
    assert TWICE in text_of(client.get(second["Location"]))
    assert Deposit.objects.count() == 1


def test_a_loan_paid_back_is_paid_back_once(treasurer: Person, ada: Supporter, client_for: SignIn) -> None:
    owed = record_loan(by=treasurer, lender=ada, amount=Money(500_00), on=ON, words="back in June")
    client, address = client_for(treasurer), reverse("gifts:loan-repay", args=[owed.code])
    told = {"amount": "100.00", "on": "2026-03-05", "form_token": token_of(client, address)}
    assert client.post(address, told)["Location"] == client.post(address, told)["Location"]
    assert LoanMove.objects.count() == 1


def test_a_form_that_asks_before_it_is_written_is_written_once(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    owed = record_loan(by=treasurer, lender=ada, amount=Money(500_00), on=ON, words="back in June")
    client, address = client_for(treasurer), reverse("gifts:loan-forgive", args=[owed.code])
    told = {"amount": "100.00", "on": "2026-03-05", "words": "letter of March 4"}
    told["form_token"] = token_of(client, address)
    asked = client.post(address, told).content.decode()
    assert f'name="form_token" value="{told["form_token"]}"' in asked
    assert LoanMove.objects.count() == 0
    first = client.post(address, {**told, "confirm": "yes"})
    for again in ({**told, "confirm": "yes"}, told):
        assert client.post(address, again)["Location"] == first["Location"]
    assert LoanMove.objects.count() == 1


def test_another_gift_written_over_a_form_that_was_sent_is_said_and_booked_when_it_is_sent_again(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client, (address, told) = client_for(treasurer), cash(ada)
    told["form_token"] = token_of(client, address)
    client.post(address, told)
    told["amount"] = "70.00"
    answer = client.post(address, told)
    page = text_of(answer)
    assert answer.status_code == 422
    assert "This form was sent before: G-00001, $50.00, is in the books." in page
    assert 'value="70.00"' in page
    found = re.search(r'name="form_token" value="([0-9a-f]{32})"', page)
    assert found
    assert found[1] != told["form_token"]
    assert client.post(address, {**told, "form_token": found[1]}).status_code == 302
    assert sorted(str(gift.amount) for gift in Gift.objects.all()) == ["50.00", "70.00"]


def test_a_form_that_was_refused_may_be_sent_again(
    treasurer: Person, volunteer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client, (address, told) = client_for(treasurer), count(ada)
    told["form_token"] = token_of(client, address)
    assert client.post(address, {**told, "second_password": "wrong"}).status_code == 422
    assert SentForm.objects.count() == 0
    assert client.post(address, told).status_code == 302
    assert CashCount.objects.count() == 1


def test_what_is_noted_of_a_sent_form_does_not_depend_on_a_password(
    treasurer: Person, volunteer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client, (address, told) = client_for(treasurer), count(ada)
    told["form_token"] = token_of(client, address)
    first = client.post(address, told)
    assert client.post(address, {**told, "second_password": ""})["Location"] == first["Location"]


def test_the_token_of_somebody_elses_form_leads_nowhere(
    treasurer: Person, owner: Person, volunteer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client, (address, told) = client_for(treasurer), count(ada)
    told["form_token"] = token_of(client, address)
    client.post(address, told)
    other = client_for(owner).post(address, told)
    assert other["Location"] == reverse("gifts:count", args=["C-0002"])


def test_a_note_of_a_sent_form_is_dropped_after_a_while(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client, (address, told) = client_for(treasurer), loan(ada)
    client.post(address, {**told, "form_token": token_of(client, address)})
    with clock.at(clock.now() + timedelta(days=61)):
        client = client_for(treasurer)
        client.post(address, {**told, "form_token": token_of(client, address)})
    assert (SentForm.objects.count(), Loan.objects.count()) == (1, 2)


def test_petty_cash_counted_twice_over_the_same_form_is_one_count(
    treasurer: Person, volunteer: Person, client_for: SignIn
) -> None:
    fill_bank(treasurer)
    set_petty_cash(by=treasurer, seen_by=volunteer, amount=Money(100_00), on=ON)
    client, address = client_for(treasurer), reverse("repayments:petty-count")
    told: Told = {"counted": "99.00", "on": "2026-03-05", "second_name": "tavi", "second_password": PASSWORD}
    told |= {"form_token": token_of(client, address)}
    first, second = client.post(address, told), client.post(address, told)
    assert (first.status_code, second.status_code) == (302, 302)
    assert PettyCashCount.objects.count() == 1
