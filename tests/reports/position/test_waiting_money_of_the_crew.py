"""Today tells who stands in for the owner, whose miles wait, which checks are old and which letters no longer hold."""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from fund import clock
from fund.access.models import Person
from fund.gifts.actions import add_supporter, record_gift
from fund.gifts.actions_returns import record_refund
from fund.letters.actions import write_gift_letter
from fund.repayments.actions import prepare_repayment, release_repayment
from fund.repayments.actions_mileage import enter_mileage
from tests.fund.receipts.makers import bought, fill_bank, line, m, paper

DAY = date(2026, 3, 12)
ForPerson = Callable[[Person], Client]


@pytest.fixture
def bank(treasurer: Person) -> None:
    fill_bank(treasurer)


def today(client: Client) -> str:
    return client.get(reverse("position:today")).content.decode()


def test_the_accountant_is_told_only_of_what_nobody_else_may_release(
    bank: None, owner: Person, treasurer: Person, volunteer: Person, accountant: Person, client_for: ForPerson
) -> None:
    for buyer in (volunteer, owner):
        claim = bought(
            buyer, paper(buyer, "5.00", "0.00", line("rags", "5.00", "supplies"), number=buyer.username)
        )
        prepare_repayment(papers_seen=True, by=treasurer, person=buyer, receipts=[claim], on=DAY)
        told = today(client_for(accountant))
        assert ("repayment to release" in told) is (buyer == owner)


def test_miles_wait_for_the_treasurer_like_receipts(
    bank: None, treasurer: Person, volunteer: Person, client_for: ForPerson
) -> None:
    enter_mileage(by=volunteer, person=volunteer, on=DAY, tenths=370, reason="parts run")
    assert "crew member to repay" in today(client_for(treasurer))


def test_a_check_not_cashed_waits_after_a_hundred_and_twenty_days(
    bank: None, owner: Person, treasurer: Person, volunteer: Person, client_for: ForPerson
) -> None:
    claim = bought(volunteer, paper(volunteer, "5.00", "0.00", line("rags", "5.00", "supplies")))
    prepared = prepare_repayment(
        papers_seen=True,
        by=treasurer,
        person=volunteer,
        receipts=[claim],
        on=DAY,
        way="check",
        check_number="301",
    )
    release_repayment(by=owner, repayment=prepared)
    page = client_for(treasurer)
    with clock.at(date(2026, 7, 10)):
        assert "check not cashed in time" not in today(page)
    with clock.at(date(2026, 7, 11)):
        assert "check not cashed in time" in today(page)


def test_a_letter_about_a_gift_that_went_back_waits_to_be_withdrawn(
    bank: None, treasurer: Person, client_for: ForPerson
) -> None:
    giver = add_supporter(by=treasurer, name="Anwen Pell")
    gift = record_gift(
        by=treasurer, kind="transfer", received_on=date(2026, 3, 1), amount=m("20.00"), supporter=giver
    )
    write_gift_letter(by=treasurer, gift=gift)
    assert "letter to withdraw" not in today(client_for(treasurer))
    record_refund(by=treasurer, gift=gift, on=DAY, reason="given twice")
    assert "letter to withdraw" in today(client_for(treasurer))
