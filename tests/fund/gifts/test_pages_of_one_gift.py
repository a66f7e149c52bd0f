"""What the treasurer can do with one gift, page by page: settle, hold back, correct, dispute, benefit, loss."""

from datetime import date

import pytest

from fund.access.models import Person
from fund.gifts.actions import record_gift
from fund.gifts.models import Benefit, Gift, GiftReturn, Supporter
from fund.ledger.actions import add_purpose
from fund.ledger.models import Entry
from fund.money import Money
from tests.fund.gifts.cases import ON, by_card, by_transfer, last, supporter
from tests.fund.gifts.pages import SignIn, links, read, send


@pytest.fixture
def ada(treasurer: Person) -> Supporter:
    return supporter(treasurer)


def unknown(by: Person) -> Gift:
    return record_gift(
        by=by,
        kind="transfer",
        received_on=ON,
        amount=Money(75_00),
        nature="unidentified",
        terms="MOBILE 4471",
    )


def test_a_deposit_from_nobody_known_is_found_in_open_matters_and_settled(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client, gift = client_for(treasurer), unknown(treasurer)
    add_purpose(by=treasurer, code="tires", name="Tires", giver_words="for tires")
    page = links(read(client, "waiting"))
    assert f"{gift.code}</span> $75.00" in page
    assert "MOBILE 4471" in page
    assert "Settle it" in read(client, "gift", gift.code)
    assert "What the bank line says: MOBILE 4471" in read(client, "gift-settle", gift.code)
    told = {"on": "2026-03-12", "words": "she called", "supporter": "nobody", "purpose": "tires"}
    again = send(client, "gift-settle", gift.code, **told)
    assert "Nobody is written down as “nobody”." in again
    assert "she called</textarea>" in again
    assert f"{gift.code} is a gift now." in send(
        client, "gift-settle", gift.code, **{**told, "supporter": ada.code}
    )
    assert last() == [
        ("2020", "general", "75.00", "S-0001"),
        ("1000", "general", "-75.00", ""),
        ("1000", "tires", "75.00", ""),
        ("4010", "tires", "-75.00", "S-0001"),
    ]
    assert "Nothing waits to be settled." in read(client, "waiting")


def test_a_deposit_older_than_thirty_days_is_said_to_be_so(treasurer: Person, client_for: SignIn) -> None:
    record_gift(
        by=treasurer, kind="transfer", received_on=date(2026, 2, 1), amount=Money(5_00), nature="unidentified",
        terms="ATM 9",
    )  # fmt: skip
    assert "older than 30 days" in read(client_for(treasurer), "waiting")


def test_a_gift_that_turns_out_to_be_for_somebody_is_held_back_and_gets_no_letter(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client, gift = client_for(treasurer), by_transfer(treasurer, 100_00, ada)
    assert "It moves nobody up the waiting list" in read(client, "gift-hold-back", gift.code)
    told = {"nature": "earmarked", "terms": "for M.'s truck", "on": "2026-03-10"}
    page = send(client, "gift-hold-back", gift.code, **told)
    assert f"{gift.code} waits until it is settled." in page
    assert "It is not ours yet: no letter until that is settled." in page
    assert last() == [("4000", "general", "100.00", "S-0001"), ("2030", "general", "-100.00", "S-0001")]
    assert "In the giver's words: for M.'s truck" in read(client, "gift-settle", gift.code)


def test_a_wrong_amount_is_corrected_by_its_difference(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client, gift = client_for(treasurer), by_transfer(treasurer, 250_00, ada)
    told = {"amount": "205.00", "reason": "figures swapped"}
    page = send(client, "gift-correct", gift.code, **told)
    assert "$250.00 was $205.00: figures swapped" in page
    assert last() == [("1000", "general", "-45.00", ""), ("4000", "general", "45.00", "S-0001")]


def test_a_chargeback_goes_through_its_pages_until_it_is_won(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client, gift = client_for(treasurer), by_card(treasurer, 50_00, giver=ada)
    assert "It was charged back" in read(client, "gift", gift.code)
    told = {"on": "2026-03-10", "platform_ref": "d1", "fee": "15.00", "reason": "not recognized"}
    page = send(client, "gift-dispute", gift.code, **told)
    assert "It is in dispute: no letter until that is settled." in page
    assert last() == [
        ("4900", "general", "50.00", "S-0001"),
        ("5310", "general", "15.00", ""),
        ("1032", "general", "-50.00", ""),
        ("1032", "general", "-15.00", ""),
    ]
    assert gift.code in links(read(client, "disputes", outcome="open"))
    pk = GiftReturn.objects.get().pk
    wrong = send(client, "dispute-decide", pk, on="2026-03-14", words="papers sent")
    assert "papers sent</textarea>" in wrong
    assert GiftReturn.objects.get().outcome == "open"
    decided = {"outcome": "won", "on": "2026-03-14", "platform_ref": "w1", "words": "papers sent"}
    page = send(client, "dispute-decide", pk, **decided)
    assert "The dispute is won." in page
    assert last() == [("1032", "general", "50.00", ""), ("4900", "general", "-50.00", "S-0001")]
    assert gift.code not in links(read(client, "disputes", outcome="open"))


def test_no_page_offers_to_send_a_refund_another_way(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client, gift = client_for(treasurer), by_card(treasurer, 2200_00, giver=ada)
    refund = links(read(client, "gift-refund", gift.code))
    assert "Only through Kettle Card, to the card or account that paid." in refund
    assert 'name="amount"' not in refund  # a gift goes back whole
    assert "account" not in refund.split("<form", 1)[1]


def test_money_that_was_already_sent_elsewhere_is_booked_as_a_loss(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client, gift = client_for(treasurer), by_card(treasurer, 2200_00, giver=ada)
    assert "may be turning a stolen card into money" in read(client, "sent-elsewhere", gift.code)
    told = {"amount": "2000.00", "on": "2026-03-05", "words": "asked for it by phone"}
    assert "The loss is booked." in send(client, "sent-elsewhere", gift.code, **told)
    assert last() == [("5330", "general", "2,000.00", ""), ("1000", "general", "-2,000.00", "")]


def test_a_transfer_that_has_not_cleared_offers_no_refund(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client, gift = client_for(treasurer), by_transfer(treasurer, 50_00, ada, on=date(2026, 3, 14))
    page = links(read(client, "gift", gift.code))
    assert "It has not cleared yet; a refund is locked until then." in page
    assert "Refund it" not in page


def test_a_mug_is_written_down_owed_and_sent(treasurer: Person, ada: Supporter, client_for: SignIn) -> None:
    client, gift = client_for(treasurer), by_transfer(treasurer, 120_00, ada)
    told = {"name": "Mug", "value": "15.00", "cost": "4.20"}
    assert "“Mug” is written down." in send(client, "benefit-new", **told)
    page = read(client, "benefits")
    assert "15.00" in page
    assert "4.20" in page
    assert "Mug is owed." in send(client, "benefit-owe", gift.code, benefit=Benefit.objects.get().pk)
    assert last() == [("4000", "general", "15.00", "S-0001"), ("2050", "general", "-15.00", "S-0001")]
    assert "worth $15.00" in links(read(client, "waiting"))
    page = send(client, "benefit-send", gift.code, on="2026-03-14", cost="4.50")
    assert "Mug is booked as sent." in page
    assert last() == [
        ("2050", "general", "15.00", "S-0001"),
        ("4050", "general", "-15.00", ""),
        ("5400", "general", "4.50", ""),
        ("1000", "general", "-4.50", ""),
    ]


def test_who_only_reads_finds_no_button(
    accountant: Person, treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    gift = by_card(treasurer, 50_00, giver=ada)
    page = links(read(client_for(accountant), "gift", gift.code))
    for words in ("Refund it", "It was charged back", "If something is different"):
        assert words not in page
    assert Entry.objects.count() == 1
