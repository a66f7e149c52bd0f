"""From a claim to its payment on the pages, each step by the person it belongs to."""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.ledger.queries import balance
from fund.receipts.models import Receipt
from fund.repayments.actions_petty import set_petty_cash
from fund.repayments.models import PettyCashCount, Repayment
from fund.repayments.queries import petty_cash
from tests.fund.receipts.makers import bought, line, m, paper

ClientFor = Callable[[Person], Client]
PASSWORD = "long road to the mill"


@pytest.fixture
def receipt(volunteer: Person, bank: None) -> Receipt:
    return bought(volunteer, paper(volunteer, "161.29", "0.00", line("rags", "161.29", "supplies")))


def test_a_volunteer_sees_what_is_owed_to_them(
    receipt: Receipt, volunteer: Person, client_for: ClientFor
) -> None:
    shown = client_for(volunteer).get(reverse("repayments:mine")).content.decode()
    assert "$161.29 for 1 claim, the oldest 12 days old." in shown


def test_prepared_by_one_and_released_by_another(
    receipt: Receipt, volunteer: Person, treasurer: Person, owner: Person, client_for: ClientFor
) -> None:
    page = client_for(treasurer)
    prepare = reverse("repayments:prepare", args=["tavi"])
    assert "R-00001 of 2026-03-03, Gantry Parts: 161.29, no photo" in page.get(prepare).content.decode()
    made = page.post(
        prepare, {"receipts": [receipt.pk], "papers_seen": "on", "on": "2026-03-15"}, follow=True
    ).content.decode()
    assert "Release it" not in made
    release = reverse("repayments:release", args=["P-0001"])
    boss = client_for(owner)
    asked = boss.post(release, {"on": "2026-03-15"}).content.decode()
    assert "Pay 161.29 to Tavi Brandt?" in asked
    assert Repayment.objects.get().state == "prepared"
    paid = boss.post(release, {"on": "2026-03-15", "confirm": "yes"}, follow=True).content.decode()
    assert "161.29 paid to Tavi Brandt." in paid
    assert balance("2010") == m("0.00")


def test_nothing_chosen_is_said(receipt: Receipt, treasurer: Person, client_for: ClientFor) -> None:
    answer = client_for(treasurer).post(reverse("repayments:prepare", args=["tavi"]), {"on": "2026-03-15"})
    assert answer.status_code == 422
    assert Repayment.objects.count() == 0


def test_a_prepared_repayment_is_cancelled_with_a_reason(
    receipt: Receipt, treasurer: Person, client_for: ClientFor
) -> None:
    page = client_for(treasurer)
    page.post(
        reverse("repayments:prepare", args=["tavi"]),
        {"receipts": [receipt.pk], "papers_seen": "on", "on": "2026-03-15"},
    )
    cancel = reverse("repayments:cancel", args=["P-0001"])
    assert page.post(cancel, {"reason": ""}).status_code == 422
    assert "cancelled" in page.post(cancel, {"reason": "wrong person"}, follow=True).content.decode()


def test_petty_cash_is_set_counted_and_topped_up(
    volunteer: Person, volunteer2: Person, treasurer: Person, bank: None, client_for: ClientFor
) -> None:
    keeper, hands = client_for(treasurer), client_for(volunteer)
    day = {"on": "2026-03-12"}
    setting = reverse("repayments:petty-set")
    signed = {"second_name": volunteer2.username, "second_password": PASSWORD}
    assert keeper.post(setting, {"amount": "100", **day}).status_code == 422
    assert petty_cash().held == m("0.00")
    moved = keeper.post(setting, {"amount": "100", **signed, **day}, follow=True).content.decode()
    assert "Petty cash is kept at 100.00." in moved
    counting = {"counted": "97", "note": "a receipt is missing", **signed, **day}
    counted = reverse("repayments:petty-count")
    assert "3.00 short is booked." in hands.post(counted, counting, follow=True).content.decode()
    assert balance("5320") == m("3.00")
    alone = hands.post(counted, {**counting, "second_name": volunteer.username})
    assert "It takes two different people" in alone.content.decode()
    keeper.post(reverse("repayments:petty-top-up"), {"confirm": "yes", **day})
    assert petty_cash().held == m("100.00")


@pytest.mark.parametrize(
    ("signed", "sentence"),
    [
        ({}, "This cannot be left empty."),
        ({"second_name": "jun", "second_password": "guessed"}, "name and password do not go together"),
        (
            {"second_name": "ines", "second_password": PASSWORD},
            "Ines Moreau cannot sign this. Only an owner, ",
        ),
        ({"seen_by": "2"}, "This cannot be left empty."),  # a name out of a list is nobody's presence
    ],
)
def test_petty_cash_is_not_counted_by_one_who_names_a_second(
    volunteer: Person,
    volunteer2: Person,
    screener: Person,
    treasurer: Person,
    bank: None,
    client_for: ClientFor,
    signed: dict[str, str],
    sentence: str,
) -> None:
    set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("100.00"), on=date(2026, 3, 2))
    told = {"counted": "97", "note": "a receipt is missing", "on": "2026-03-12", **signed}
    answer = client_for(volunteer).post(reverse("repayments:petty-count"), told)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert 'value="a receipt is missing"' in page
    assert PASSWORD not in page
    assert (PettyCashCount.objects.count(), balance("5320")) == (0, m("0.00"))


def test_what_a_member_owes_is_paid_back(
    volunteer: Person, treasurer: Person, bank: None, client_for: ClientFor
) -> None:
    pads, snack = line("rags", "40.00", "supplies"), line("snack", "20.00", "personal")
    bought(volunteer, paper(volunteer, "60.00", "0.00", pads, snack, tender="fund_card"))
    page = client_for(treasurer)
    assert (
        "They owe the fund $20.00." in page.get(reverse("repayments:person", args=["tavi"])).content.decode()
    )
    page.post(
        reverse("repayments:settle", args=["tavi"]), {"amount": "20.00", "on": "2026-03-12", "confirm": "yes"}
    )
    assert balance("1130") == m("0.00")


def test_claims_tell_their_age_and_the_day_the_money_is_expected(
    receipt: Receipt, volunteer: Person, client_for: ClientFor
) -> None:
    page = client_for(volunteer)
    page.post(
        reverse("repayments:miles-new"),
        {"person": volunteer.pk, "on": "2026-03-12", "tenths": "37", "reason": "Gantry Parts and back"},
    )
    shown = page.get(reverse("repayments:mine")).content.decode()
    for said in ("37 miles: Gantry Parts and back", "5.18", "2026-03-29", "$166.47 for 2 claims"):
        assert said in shown
    csv = b"".join(page.get(reverse("repayments:mine"), {"format": "csv"})).decode()
    assert "MI-0001,2026-03-12,37 miles: Gantry Parts and back,,3,2026-03-29,,5.18" in csv


def test_miles_typed_wrongly_keep_what_was_typed(volunteer: Person, client_for: ClientFor) -> None:
    typed = {"person": volunteer.pk, "on": "2026-03-12", "tenths": "37.55", "reason": "parts"}
    answer = client_for(volunteer).post(reverse("repayments:miles-new"), typed)
    assert answer.status_code == 422
    assert "at most one place" in answer.content.decode()
    assert 'value="37.55"' in answer.content.decode()


def test_miles_are_listed_and_taken_back(volunteer: Person, bank: None, client_for: ClientFor) -> None:
    page = client_for(volunteer)
    typed = {"person": volunteer.pk, "on": "2026-03-12", "tenths": "40", "reason": "parts run"}
    page.post(reverse("repayments:miles-new"), typed)
    assert "not paid back yet" in page.get(reverse("repayments:miles")).content.decode()
    back = reverse("repayments:miles-take-back", args=["MI-0001"])
    assert page.post(back, {"reason": ""}).status_code == 422
    assert "MI-0001 is taken back." in page.post(back, {"reason": "wrong day"}, follow=True).content.decode()
    assert balance("2010") == m("0.00")


def test_what_is_owed_is_given_to_the_fund_with_a_signature(
    receipt: Receipt, volunteer: Person, client_for: ClientFor
) -> None:
    page, give = client_for(volunteer), reverse("repayments:give")
    typed = {"receipts": [receipt.pk], "on": "2026-03-12", "signed": "Tavi Brandt"}
    assert "161.29 that the fund owes you becomes a gift" in page.post(give, typed).content.decode()
    unsigned = page.post(give, {**typed, "signed": "T. B.", "confirm": "yes"})
    assert "Sign with your own name" in unsigned.content.decode()
    done = page.post(give, {**typed, "confirm": "yes"}, follow=True).content.decode()
    assert "161.29 is a gift to the fund now." in done
    assert balance("4000") == m("-10161.29")


def test_an_advance_goes_through_three_pairs_of_hands(
    volunteer: Person, treasurer: Person, owner: Person, bank: None, client_for: ClientFor
) -> None:
    page, boss = client_for(treasurer), client_for(owner)
    asked = {"amount": "200", "reason": "brake parts", "on": "2026-03-12"}
    page.post(reverse("repayments:advance-new", args=["tavi"]), asked)
    assert "AD-0001</span> to Tavi Brandt" in boss.get(reverse("repayments:advances")).content.decode()
    release = reverse("repayments:advance-release", args=["AD-0001"])
    assert (
        "Give 200.00 in advance to Tavi Brandt?" in boss.post(release, {"on": "2026-03-12"}).content.decode()
    )
    boss.post(release, {"on": "2026-03-12", "confirm": "yes"})
    back = reverse("repayments:advance-back", args=["tavi"])
    page.post(back, {"amount": "38.71", "on": "2026-03-14", "confirm": "yes"})
    assert balance("1140") == m("161.29")
    assert "161.29" in page.get(reverse("repayments:advance", args=["AD-0001"])).content.decode()
    assert "All advances" in page.get(reverse("repayments:all-advances")).content.decode()


def test_an_advance_not_paid_yet_is_dropped(
    volunteer: Person, treasurer: Person, bank: None, client_for: ClientFor
) -> None:
    page = client_for(treasurer)
    page.post(
        reverse("repayments:advance-new", args=["tavi"]),
        {"amount": "200", "reason": "brake parts", "on": "2026-03-12"},
    )
    dropped = page.post(reverse("repayments:advance-cancel", args=["AD-0001"]), follow=True).content.decode()
    assert "AD-0001 is dropped." in dropped


def test_money_paid_by_mistake_is_set_against_the_next_repayment(
    receipt: Receipt, volunteer: Person, treasurer: Person, owner: Person, client_for: ClientFor
) -> None:
    page, boss = client_for(treasurer), client_for(owner)
    wrong = {
        "amount": "61.29",
        "out_of": "bank",
        "on": "2026-03-12",
        "reason": "typed twice",
        "confirm": "yes",
    }
    page.post(reverse("repayments:overpaid", args=["tavi"]), wrong)
    prepare = reverse("repayments:prepare", args=["tavi"])
    assert "owes the fund $61.29" in page.get(prepare).content.decode()
    page.post(prepare, {"receipts": [receipt.pk], "papers_seen": "on", "on": "2026-03-15", "keep": "on"})
    release = reverse("repayments:release", args=["P-0001"])
    asked = boss.post(release, {"on": "2026-03-15"}).content.decode()
    assert "Pay 100.00 to Tavi Brandt?" in asked
    assert "61.29 of it is set against" in asked
    boss.post(release, {"on": "2026-03-15", "confirm": "yes"})
    assert (balance("1130"), balance("2010")) == (m("0.00"), m("0.00"))


def test_a_check_never_cashed_is_stopped_and_its_claim_open_again(
    receipt: Receipt, volunteer: Person, treasurer: Person, owner: Person, client_for: ClientFor
) -> None:
    page, boss = client_for(treasurer), client_for(owner)
    page.post(
        reverse("repayments:prepare", args=["tavi"]),
        {
            "receipts": [receipt.pk],
            "papers_seen": "on",
            "on": "2026-03-12",
            "way": "check",
            "check_number": "301",
        },
    )
    boss.post(reverse("repayments:release", args=["P-0001"]), {"on": "2026-03-12", "confirm": "yes"})
    shown = page.get(reverse("repayments:payment", args=["P-0001"])).content.decode()
    assert "The check was never cashed" in shown
    stop = reverse("repayments:stop", args=["P-0001"])
    typed = {"on": "2026-03-15", "reason": "lost in the mail"}
    assert "Check 301 over 161.29 is stopped?" in page.post(stop, typed).content.decode()
    page.post(stop, {**typed, "confirm": "yes"})
    after = page.get(reverse("repayments:payment", args=["P-0001"])).content.decode()
    assert "check stopped" in after
    assert "R-00001" in after
    assert "R-00001" in page.get(reverse("repayments:prepare", args=["tavi"])).content.decode()


def test_the_accountant_releases_the_only_owners_claim(
    owner: Person, treasurer: Person, accountant: Person, bank: None, client_for: ClientFor
) -> None:
    claim = bought(owner, paper(owner, "40.00", "0.00", line("rags", "40.00", "supplies")))
    client_for(treasurer).post(
        reverse("repayments:prepare", args=["maren"]),
        {"receipts": [claim.pk], "papers_seen": "on", "on": "2026-03-12"},
    )
    payment = reverse("repayments:payment", args=["P-0001"])
    assert "Release it" not in client_for(owner).get(payment).content.decode()
    books = client_for(accountant)
    assert "Release it" in books.get(payment).content.decode()
    books.post(reverse("repayments:release", args=["P-0001"]), {"on": "2026-03-12", "confirm": "yes"})
    assert Repayment.objects.get().released_by == accountant


def test_a_new_rate_is_typed_with_its_source(owner: Person, client_for: ClientFor) -> None:
    page, add = client_for(owner), reverse("repayments:mileage-rate-add")
    typed = {"tenths": "14.5", "valid_from": "2026-07-01", "source": "invented for this test"}
    assert page.post(add, {**typed, "source": ""}).status_code == 422
    page.post(add, typed)
    assert "14.5" in page.get(reverse("repayments:mileage-rates")).content.decode()
