"""Pages of what is not finished: held checks, own accounts, exceptions, restrictions, loans, pledges, rates, holds."""

from datetime import date

import pytest

from fund import clock
from fund.access.models import Person
from fund.gifts.actions import record_gift
from fund.gifts.actions_payout import import_payout
from fund.gifts.models import (
    Gift,
    GiftException,
    HeldCheck,
    Loan,
    PlatformHold,
    Pledge,
    RestrictionChange,
    Supporter,
)
from fund.ledger.actions import add_purpose
from fund.ledger.models import Entry
from fund.ledger.queries import balance
from fund.money import Money
from tests.fund.gifts.cases import ON, by_transfer, last, supporter
from tests.fund.gifts.files import kettle_card, kettle_file, taken
from tests.fund.gifts.pages import SignIn, links, read, send, send_and_confirm


@pytest.fixture
def ada(treasurer: Person) -> Supporter:
    return supporter(treasurer)


HELD = {
    "supporter": "Ada Moss",
    "amount": "25.00",
    "check_number": "71",
    "dated_on": "2026-04-01",
    "arrived_on": "2026-03-15",
    "purpose": "general",
}


def test_a_post_dated_check_is_held_and_booked_on_its_day(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client = client_for(treasurer)
    page = send(client, "check-new", **HELD)
    held = HeldCheck.objects.get()
    assert f"{held.code} is held until 2026-04-01." in page
    assert not Entry.objects.exists()
    page = links(read(client, "check", held.code))
    assert "It is no gift before 2026-04-01." in page
    assert "book the gift" not in page
    early = send(client, "check-book", held.code)
    assert not Gift.objects.exists()
    assert "2026-04-01" in early
    with clock.at(date(2026, 4, 1)):
        assert "Its day has come: book the gift" in read(client, "check", held.code)
        assert "waits to be banked" in send(client, "check-book", held.code)
    assert last() == [("1010", "general", "25.00", ""), ("4000", "general", "-25.00", "S-0001")]
    assert "book the gift" not in links(read(client, "check", held.code))


def test_a_held_check_is_handed_back(treasurer: Person, ada: Supporter, client_for: SignIn) -> None:
    client = client_for(treasurer)
    send(client, "check-new", **HELD)
    held = HeldCheck.objects.get()
    page = send(client, "check-back", held.code, on="2026-03-15", why="she asked for it")
    assert f"{held.code} is handed back. Nothing was booked." in page
    assert "she asked for it" in page
    assert not Entry.objects.exists()


def test_a_check_dated_today_is_not_held_and_its_form_keeps_everything(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    page = send(client_for(treasurer), "check-new", **{**HELD, "dated_on": "2026-03-10"})
    assert 'value="71"' in page
    assert 'value="25.00"' in page
    assert not HeldCheck.objects.exists()


def test_gifts_on_an_own_account_come_to_the_bank_in_one_transfer_of_one_person(
    treasurer: Person, owner: Person, volunteer: Person, ada: Supporter, client_for: SignIn
) -> None:
    hers, his = (
        record_gift(
            by=treasurer, kind="via crew", received_on=ON, amount=Money(300_00), supporter=ada, held_by=who
        )
        for who in (owner, volunteer)
    )
    client = client_for(treasurer)
    assert f"{hers.code}</a> $300.00 with Maren Holt" in read(client, "waiting")
    page = send(client, "own-accounts", on="2026-03-12", chosen=[hers.code, his.code])
    assert "that one person brings" in page
    assert page.count("checked") == 2
    page = send(client, "own-accounts", on="2026-03-12", chosen=[hers.code])
    assert "T-0001: $300.00 came to the bank." in page
    assert last() == [("1000", "general", "300.00", ""), ("1130", "general", "-300.00", "maren")]


def burst(by: Person) -> GiftException:
    rows = [
        taken(f"burst{n}", f"2026-03-14T04:00:{n:02}", "1.00", to="", receipt_email=f"b{n}@example.org")
        for n in range(60)
    ]
    import_payout(by=by, data=kettle_file(*rows), filename="burst.csv", layout=kettle_card())
    return GiftException.objects.get(kind="card testing")


def test_card_testing_is_undone_after_a_question(
    treasurer: Person, owner: Person, client_for: SignIn
) -> None:
    client, found = client_for(treasurer), burst(treasurer)
    assert found.code in links(read(client, "exceptions", unresolved="true"))
    page = links(read(client, "exception", found.code))
    assert "It is card testing: undo it" in page
    assert "… and more" in page
    asked, done = send_and_confirm(client, "testing-undo", found.code, on="2026-03-15")
    assert "Undo 60 gifts as card testing?" in asked
    assert "$60.00 goes back the way it came." in asked
    assert "60 gifts are undone." in done
    assert (str(balance("1032")), str(balance("4900"))) == ("0.00", "60.00")
    assert found.code not in links(read(client, "exceptions", unresolved="true"))


def test_a_second_look_needs_words_and_somebody_who_may(
    treasurer: Person, owner: Person, accountant: Person, client_for: SignIn
) -> None:
    found = burst(treasurer)
    assert "Resolve it" not in read(client_for(accountant), "exception", found.code)
    client = client_for(owner)
    assert "This cannot be left empty." in send(client, "exception-resolve", found.code, words="")
    page = send(client, "exception-resolve", found.code, words="A school class, each a dollar.")
    assert f"{found.code} is resolved." in page
    assert "by Maren Holt: A school class, each a dollar." in page


def test_a_restriction_is_asked_by_one_and_decided_by_another(
    treasurer: Person, owner: Person, ada: Supporter, client_for: SignIn
) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires", giver_words="for tires only")
    by_transfer(treasurer, 150_00, ada, purpose="tires")
    client = client_for(treasurer)
    told = {"kind": "release", "purpose": "tires", "amount": "150.00", "on": "2026-03-12"}
    told["words"] = "“use it for any repair”, letter of 2026-03-11"
    page = send(client, "restriction-new", **told)
    change = RestrictionChange.objects.get()
    assert f"{change.code} waits for a second person." in page
    assert "for tires only" in page
    assert "Decide on it" not in page
    before = Entry.objects.count()
    other = client_for(owner)
    assert change.code in links(read(other, "restrictions", state="asked"))
    asked, done = send_and_confirm(other, "restriction-decide", change.code, agreed="yes")
    assert "In writing: “use it for any repair”, letter of 2026-03-11" in asked
    assert f"{change.code} is " in done
    assert Entry.objects.count() == before + 1
    assert last() == [
        ("3000", "general", "-150.00", ""),
        ("1000", "general", "150.00", ""),
        ("1000", "tires", "-150.00", ""),
        ("3100", "tires", "150.00", ""),
    ]


def test_a_refused_change_books_nothing(
    treasurer: Person, owner: Person, ada: Supporter, client_for: SignIn
) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires", giver_words="for tires only")
    by_transfer(treasurer, 150_00, ada, purpose="tires")
    told = {"kind": "release", "purpose": "tires", "amount": "150.00", "on": "2026-03-12", "words": "a call"}
    send(client_for(treasurer), "restriction-new", **told)
    before = Entry.objects.count()
    change = RestrictionChange.objects.get()
    asked, _ = send_and_confirm(client_for(owner), "restriction-decide", change.code, agreed="no")
    assert f"Refuse {change.code}?" in asked
    assert Entry.objects.count() == before


def test_a_loan_is_lent_repaid_and_forgiven_on_its_pages(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client = client_for(treasurer)
    told = {"lender": ada.code, "amount": "300.00", "on": "2026-03-02", "words": "a pump, until May"}
    page = send(client, "loan-new", **told)
    loan = Loan.objects.get()
    assert f"{loan.code}: $300.00 is owed to Ada Moss." in page
    assert last() == [("1000", "general", "300.00", ""), ("2060", "general", "-300.00", "S-0001")]
    page = send(client, "loan-repay", loan.code, amount="100.00", on="2026-03-09")
    assert f"$100.00 of {loan.code} is repaid." in page
    assert "Still owed</dt><dd>$200.00" in page
    assert last() == [("2060", "general", "100.00", "S-0001"), ("1000", "general", "-100.00", "")]
    more = send(client, "loan-repay", loan.code, amount="200.01", on="2026-03-09")
    assert 'value="200.01"' in more
    forgiven = {"amount": "200.00", "on": "2026-03-14", "words": "letter of today"}
    asked, done = send_and_confirm(client, "loan-forgive", loan.code, **forgiven)
    assert "From that day it is a gift of the lender's." in asked
    assert last() == [("2060", "general", "200.00", "S-0001"), ("4000", "general", "-200.00", "S-0001")]
    assert "Pay it back" not in links(done)
    assert loan.code in links(read(client, "loans"))


def test_a_pledge_stands_in_the_outlook_and_in_no_book(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client = client_for(treasurer)
    told = {"supporter": ada.code, "amount": "500.00", "due_on": "2026-05-01", "words": "in spring"}
    assert "is written down." in send(client, "pledge-new", **told)
    page = links(read(client, "outlook"))
    assert "500.00" in page
    assert "none of it may be promised to a repair" in page
    assert not Entry.objects.exists()
    pledge = Pledge.objects.get()
    assert f"{pledge.code} has ended." in send(client, "pledge-end", pledge.code, reason="it came")
    assert pledge.code not in links(read(client, "outlook", standing="true"))
    assert pledge.code in links(read(client, "outlook", standing="false"))


def test_a_rate_is_written_down_with_where_it_stood(treasurer: Person, client_for: SignIn) -> None:
    client = client_for(treasurer)
    told = {"currency": "EUR", "on": "2026-03-02", "rate": "1.0850", "source": "central bank"}
    assert "The rate of EUR on 2026-03-02 is written down." in send(client, "rate-new", **told)
    page = links(read(client, "rates"))
    assert "1.0850" in page
    assert "central bank" in page
    wrong = send(client, "rate-new", **{**told, "rate": "a lot"})
    assert 'value="a lot"' in wrong


def test_a_platform_that_holds_its_payout_is_told_and_pays_out_again(
    treasurer: Person, client_for: SignIn
) -> None:
    client = client_for(treasurer)
    told = {"since": "2026-03-10", "words": "under review until Friday"}
    page = send(client, "hold-new", "patch-circle", **told)
    assert "Patch Circle holds its payout</strong> since 2026-03-10: under review until Friday" in page
    page = send(client, "hold-end", PlatformHold.objects.get().pk, on="2026-03-14")
    assert "Patch Circle pays out again." in page
    assert "<strong>Patch Circle holds its payout" not in page


@pytest.mark.parametrize(
    "name", ["checks", "disputes", "exceptions", "restrictions", "loans", "outlook", "benefits", "rates"]
)
def test_an_empty_list_says_what_would_stand_there(name: str, treasurer: Person, client_for: SignIn) -> None:
    assert 'class="empty' in read(client_for(treasurer), name)
