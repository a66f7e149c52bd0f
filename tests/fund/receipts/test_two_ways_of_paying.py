"""One paper, two ways of paying: the store takes off a credit of the fund, the rest is paid otherwise."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.ledger.queries import balance, cost_of
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.actions_claims import settle_claim
from fund.receipts.actions_returns import return_to_store
from fund.receipts.actions_takeback import take_back
from fund.receipts.models import Receipt, ReceiptPortion
from fund.receipts.proofs import breaks
from fund.receipts.queries import money_at_store
from fund.refusal import BadInput, NotEnoughMoney
from tests.fund.receipts.makers import DAY, booked, bought, line, m, paper

Repair = Callable[..., str]


@pytest.fixture
def credit(volunteer: Person, repair: Repair) -> str:
    """60.00 of credit at Gantry Parts, from a pump that went back; the repair it was for."""
    code = repair()
    pump = bought(
        volunteer, paper(volunteer, "60.00", "0.00", line("pump", "60.00", ("part", code)), number="1")
    )
    portion = ReceiptPortion.objects.get(line__receipt=pump)
    claim = return_to_store(by=volunteer, portion=portion, quantity=1000, on=DAY, reason="wrong part")
    settle_claim(by=volunteer, claim=claim, kind="store_credit", amount=m("60.00"), on=DAY)
    return code


def belt(volunteer: Person, code: str, used: str, **more: object) -> Receipt:
    """86.60 with its tax of 6.60."""
    data = paper(
        volunteer, "86.60", "6.60", line("belt", "80.00", ("part", code)), credit_used=m(used), **more
    )
    return save_draft(by=volunteer, data=data)


@pytest.mark.parametrize(
    ("tender", "account", "party"),
    [("own_money", "2010", "tavi"), ("fund_card", "1000", ""), ("supplier_bill", "2000", "Gantry Parts")],
)
def test_the_credit_is_used_up_and_the_rest_is_paid_as_said(
    volunteer: Person, credit: str, tender: str, account: str, party: str
) -> None:
    posted = post_receipt(by=volunteer, receipt=belt(volunteer, credit, "50.00", tender=tender))
    assert booked(posted) == [
        ("5000", "86.60", credit, ""),
        ("1105", "-50.00", "", "Gantry Parts"),
        (account, "-36.60", "", party),
    ]
    assert (posted.owed, money_at_store("Gantry Parts")) == (m("36.60"), m("10.00"))
    assert breaks() == []


def test_no_more_credit_is_used_than_the_store_owes(volunteer: Person, credit: str) -> None:
    with pytest.raises(NotEnoughMoney, match="owes the fund 60.00 in store credit, not 60.01"):
        post_receipt(by=volunteer, receipt=belt(volunteer, credit, "60.01"))
    elsewhere = belt(volunteer, credit, "1.00", store="Northside Counter")
    with pytest.raises(NotEnoughMoney, match="owes the fund 0.00"):
        post_receipt(by=volunteer, receipt=elsewhere)
    post_receipt(by=volunteer, receipt=belt(volunteer, credit, "60.00", number="4482"))


@pytest.mark.parametrize(("used", "tender"), [("86.60", "own_money"), ("10.00", "store_credit")])
def test_credit_for_all_of_it_is_a_way_of_paying_of_its_own(
    volunteer: Person, credit: str, used: str, tender: str
) -> None:
    with pytest.raises(BadInput, match="choose it under “Paid with”"):
        belt(volunteer, credit, used, tender=tender)


def test_credit_is_not_used_for_what_is_personal(volunteer: Person, credit: str) -> None:
    lines = (line("belt", "20.00", ("part", credit)), line("gloves of my own", "40.00", "personal"))
    draft = save_draft(by=volunteer, data=paper(volunteer, "60.00", "0.00", *lines, credit_used=m("30.00")))
    with pytest.raises(BadInput, match=r"30\.00 is more than the fund's part"):
        post_receipt(by=volunteer, receipt=draft)
    assert money_at_store("Gantry Parts") == m("60.00")


def test_taken_back_the_credit_is_there_again(volunteer: Person, treasurer: Person, credit: str) -> None:
    posted = post_receipt(by=volunteer, receipt=belt(volunteer, credit, "50.00"))
    take_back(by=treasurer, receipt=posted, reason="typed from the wrong paper")
    assert (money_at_store("Gantry Parts"), cost_of(credit)) == (m("60.00"), m("0.00"))
    assert balance("2010") == m("-60.00")  # the pump's own receipt is still owed
    assert breaks() == []


def test_it_is_entered_on_the_form_and_kept_through_a_mistake(
    volunteer: Person, credit: str, client_for: Callable[[Person], Client]
) -> None:
    client = client_for(volunteer)
    typed = {
        "store": "Gantry Parts", "number": "4481", "on": DAY.isoformat(), "tax": "6.60", "total": "86.60",
        "tender": "own_money", "buyer": volunteer.pk, "credit_used": "86.60", "save": "yes",
        "lines-TOTAL_FORMS": "1", "lines-INITIAL_FORMS": "0", "lines-0-text": "belt", "lines-0-amount": "80.00",
        "lines-0-taxed": "on", "lines-0-home": "part", "lines-0-repair": credit,
    }  # fmt: skip
    page = client.post(reverse("receipts:new"), typed).content.decode()
    assert "choose it under “Paid with”" in page
    assert 'value="86.60"' in page
    saved = client.post(reverse("receipts:new"), {**typed, "credit_used": "50.00"})
    page = client.get(saved["Location"]).content.decode()
    assert "my own money, and 50.00 in store credit" in page
    assert "50.00 of the fund&#x27;s credit at Gantry Parts is used up." in page
    assert "The fund will owe Tavi Brandt 36.60." in page
