"""Chargebacks to answer and things owed to supporters stand on Today until they are done."""

from collections.abc import Callable
from datetime import date

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fund.access.models import Person
from fund.gifts.actions_benefits import add_benefit, owe_benefit, send_benefit
from fund.gifts.actions_disputes import decide_dispute, open_dispute
from fund.gifts.actions_returns import record_refund
from fund.gifts.models import GiftReturn
from fund.money import Money
from reports.position.waiting import WAITING
from tests.fund.gifts.cases import by_card

DAY = date(2026, 3, 10)
ForPerson = Callable[[Person], Client]


def today(client: Client) -> str:
    return client.get(reverse("position:today")).content.decode()


def test_a_chargeback_waits_until_it_is_decided(
    treasurer: Person, owner: Person, client_for: ForPerson
) -> None:
    words = "chargeback waits for its answer"
    assert words not in today(client_for(treasurer))
    gift = by_card(treasurer, 50_00)
    dispute = open_dispute(by=treasurer, gift=gift, on=DAY, platform_ref="d1", fee=Money(15_00))
    page = today(client_for(treasurer))
    assert words in page
    assert reverse("gifts:disputes") in page
    assert words not in today(client_for(owner))  # who records gifts answers it
    decide_dispute(by=treasurer, dispute=dispute, on=DAY, won=False, words="no answer to it", platform_ref="")
    assert words not in today(client_for(treasurer))


def test_a_thing_owed_waits_until_it_is_sent_and_not_for_a_gift_that_went_back(
    treasurer: Person, client_for: ForPerson
) -> None:
    mug = add_benefit(by=treasurer, name="Mug", value=Money(12_00), cost=Money(6_00))
    first, second = (by_card(treasurer, 50_00, ref) for ref in ("c1", "c2"))
    owed = owe_benefit(by=treasurer, gift=first, benefit=mug)
    owe_benefit(by=treasurer, gift=second, benefit=mug)
    page = today(client_for(treasurer))
    assert "things owed to supporters are not sent" in page
    assert reverse("gifts:waiting") in page
    record_refund(by=treasurer, gift=second, on=DAY, reason="asked for it back", platform_ref="r1")
    assert "thing owed to a supporter is not sent" in today(client_for(treasurer))
    send_benefit(by=treasurer, owed=owed, on=DAY)
    assert "owed to a supporter" not in today(client_for(treasurer))


def test_a_gift_whose_chargeback_was_won_is_owed_its_thing_again(
    treasurer: Person, client_for: ForPerson
) -> None:
    mug = add_benefit(by=treasurer, name="Mug", value=Money(12_00), cost=Money(6_00))
    gift = by_card(treasurer, 50_00)
    owe_benefit(by=treasurer, gift=gift, benefit=mug)
    open_dispute(by=treasurer, gift=gift, on=DAY, platform_ref="d1", fee=Money.zero)
    assert "owed to a supporter" not in today(client_for(treasurer))
    dispute = GiftReturn.objects.get()
    decide_dispute(by=treasurer, dispute=dispute, on=DAY, won=True, words="proved", platform_ref="w1")
    assert "thing owed to a supporter is not sent" in today(client_for(treasurer))


def test_each_line_is_one_question_to_the_database_however_many_wait(treasurer: Person) -> None:
    mug = add_benefit(by=treasurer, name="Mug", value=Money(12_00), cost=Money(6_00))
    for at in range(6):
        gift = by_card(treasurer, 50_00, f"c{at}")
        if at % 2:
            owe_benefit(by=treasurer, gift=gift, benefit=mug)
        else:
            open_dispute(by=treasurer, gift=gift, on=DAY, platform_ref=f"d{at}", fee=Money.zero)
    lines = [
        thing
        for thing in WAITING
        if thing.page in ("gifts:disputes", "gifts:waiting") and "settle" not in thing.one
    ]
    with CaptureQueriesContext(connection) as asked:
        assert [thing.count(treasurer) for thing in lines] == [3, 3]
    assert len(asked) == 2
