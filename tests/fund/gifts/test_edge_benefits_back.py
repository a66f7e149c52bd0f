"""A gift with something owed in return goes back: what was set apart for it goes back too, unless it was sent."""

from datetime import date

import pytest

from fund.access.models import Person
from fund.gifts.actions import Charge, record_gift
from fund.gifts.actions_benefits import add_benefit, owe_benefit, send_benefit
from fund.gifts.actions_cash import bank_deposit
from fund.gifts.actions_disputes import decide_dispute, open_dispute
from fund.gifts.actions_payout import import_payout
from fund.gifts.actions_returns import record_refund, return_check
from fund.gifts.models import Benefit, Gift, GiftBenefit, Platform, Supporter
from fund.gifts.proofs import clearing_breaks, waiting_breaks
from fund.gifts.queries import facts_of
from fund.gifts.queries_open import owed_benefits
from fund.ledger.queries import balance
from fund.money import Money
from fund.refusal import NotReady
from tests.fund.gifts.cases import ON, by_card, last, supporter
from tests.fund.gifts.files import kettle_card, kettle_file, lines_of, taken, to_bank
from tests.fund.gifts.pages import SignIn, links, read, send

DAY = date(2026, 3, 12)


@pytest.fixture
def ada(treasurer: Person) -> Supporter:
    return supporter(treasurer)


@pytest.fixture
def mug(treasurer: Person) -> Benefit:
    return add_benefit(by=treasurer, name="Mug", value=Money(1200), cost=Money(420))


@pytest.fixture
def gift(treasurer: Person, ada: Supporter, mug: Benefit) -> Gift:
    charge = Charge(Platform.objects.get(code="kettle-card"), "c1")
    return record_gift(
        by=treasurer,
        kind="card",
        received_on=ON,
        amount=Money(5000),
        supporter=ada,
        charge=charge,
        benefit=mug,
    )


def test_a_refund_before_the_benefit_was_sent_takes_back_what_was_set_apart_for_it(
    treasurer: Person, gift: Gift
) -> None:
    record_refund(by=treasurer, gift=gift, on=DAY, reason="asked for it back", platform_ref="r1")
    assert last() == [
        ("4900", "general", "38.00", "S-0001"),
        ("2050", "general", "12.00", "S-0001"),
        ("1032", "general", "-50.00", ""),
    ]
    assert (str(balance("2050")), owed_benefits().count()) == ("0.00", 0)
    with pytest.raises(NotReady, match="Mug is owed no more"):
        send_benefit(by=treasurer, owed=GiftBenefit.objects.get(), on=DAY)
    assert facts_of(Gift.objects.get()).benefit == ""
    assert [*waiting_breaks(), *clearing_breaks()] == []


def test_a_refund_after_the_benefit_was_sent_is_whole_on_returned_gifts_and_its_cost_stays(
    treasurer: Person, gift: Gift
) -> None:
    send_benefit(by=treasurer, owed=GiftBenefit.objects.get(), on=DAY)
    record_refund(by=treasurer, gift=gift, on=DAY, reason="asked for it back", platform_ref="r1")
    assert last() == [("4900", "general", "50.00", "S-0001"), ("1032", "general", "-50.00", "")]
    assert (str(balance("5400")), str(balance("2050"))) == ("4.20", "0.00")
    assert GiftBenefit.objects.get().ended_on is None
    assert [*waiting_breaks(), *clearing_breaks()] == []


def test_a_chargeback_ends_the_benefit_and_a_dispute_won_owes_it_again(treasurer: Person, gift: Gift) -> None:
    dispute = open_dispute(by=treasurer, gift=gift, on=ON, platform_ref="d1", fee=Money(1500))
    assert lines_of(dispute.entry) == [
        ("4900", "general", "38.00", "S-0001"),
        ("2050", "general", "12.00", "S-0001"),
        ("5310", "general", "15.00", ""),
        ("1032", "general", "-50.00", ""),
        ("1032", "general", "-15.00", ""),
    ]
    assert owed_benefits().count() == 0
    decide_dispute(by=treasurer, dispute=dispute, on=DAY, won=True, words="papers sent", platform_ref="w1")
    assert last() == [
        ("1032", "general", "50.00", ""),
        ("4900", "general", "-38.00", "S-0001"),
        ("2050", "general", "-12.00", "S-0001"),
    ]
    assert owed_benefits().count() == 1
    assert [*waiting_breaks(), *clearing_breaks()] == []
    sent = send_benefit(by=treasurer, owed=GiftBenefit.objects.get(), on=DAY)
    assert sent.sent_on == DAY


def test_a_returned_check_ends_the_benefit(treasurer: Person, ada: Supporter, mug: Benefit) -> None:
    check = record_gift(
        by=treasurer,
        kind="check",
        received_on=ON,
        amount=Money(5000),
        supporter=ada,
        check_number="7",
        benefit=mug,
    )
    bank_deposit(by=treasurer, on=ON, gifts=[check])
    return_check(by=treasurer, gift=check, on=DAY, bank_fee=Money(900))
    assert last() == [
        ("4900", "general", "38.00", "S-0001"),
        ("2050", "general", "12.00", "S-0001"),
        ("1000", "general", "-50.00", ""),
        ("5310", "general", "9.00", ""),
        ("1000", "general", "-9.00", ""),
    ]
    assert list(waiting_breaks()) == []


def _import(by: Person, *rows: dict[str, str], to: str, net: str) -> None:
    data = kettle_file(*rows, to_bank(to, "2026-03-12", net))
    import_payout(by=by, data=data, filename=f"{to}.csv", layout=kettle_card())


def test_a_refund_told_by_a_file_ends_the_benefit_and_one_that_failed_owes_it_again(
    treasurer: Person, ada: Supporter, mug: Benefit
) -> None:
    owe_benefit(by=treasurer, gift=by_card(treasurer, 5000, giver=ada), benefit=mug)
    back = {"movement": "money back", "original_id": "c1"}
    _import(
        treasurer,
        taken("c9", "2026-03-03", "100.00"),
        taken("r1", "2026-03-03", "-20.00", **back),
        to="P1",
        net="-80.00",
    )
    assert owed_benefits().count() == 1  # a part went back, and the benefit is still owed
    _import(
        treasurer,
        taken("c10", "2026-03-04", "100.00", to="P2"),
        taken("r2", "2026-03-04", "-30.00", to="P2", **back),
        to="P2",
        net="-70.00",
    )
    assert last() == [("2050", "general", "12.00", "S-0001"), ("4900", "general", "-12.00", "S-0001")]
    assert (str(balance("4900")), owed_benefits().count()) == ("38.00", 0)
    assert list(waiting_breaks()) == []
    failed = {"movement": "money back failed", "original_id": "c1"}
    _import(treasurer, taken("f1", "2026-03-05", "30.00", to="P3", **failed), to="P3", net="-30.00")
    assert last() == [("4900", "general", "12.00", "S-0001"), ("2050", "general", "-12.00", "S-0001")]
    assert owed_benefits().count() == 1
    assert [*waiting_breaks(), *clearing_breaks()] == []


def test_the_gifts_page_offers_no_sending_of_a_benefit_that_ended(
    treasurer: Person, gift: Gift, client_for: SignIn
) -> None:
    client = client_for(treasurer)
    assert "The benefit went out" in links(read(client, "gift", gift.code))
    record_refund(by=treasurer, gift=gift, on=DAY, reason="asked for it back", platform_ref="r1")
    page = links(read(client, "gift", gift.code))
    assert "owed no more since the gift went back on 2026-03-12" in page
    assert "The benefit went out" not in page
    assert "Mug is owed no more" in send(client, "benefit-send", gift.code, on="2026-03-14", cost="4.50")
    assert str(balance("2050")) == "0.00"
