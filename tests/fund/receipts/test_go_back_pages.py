"""The pages of what goes back: each asked once more, each refusal in a sentence, each sum shown."""

from collections.abc import Callable
from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fund.access.models import Person
from fund.ledger.queries import balance, cost_of
from fund.receipts.actions_cores import return_core
from fund.receipts.actions_returns import return_to_store
from fund.receipts.actions_shelf import issue_from_shelf
from fund.receipts.models import CoreDeposit, Receipt, ReceiptPortion, ShelfLot
from fund.receipts.models_returns import Claim
from reports.position.waiting import WAITING
from tests.fund.receipts.makers import bought, line, m, paper

ClientFor = Callable[[Person], Client]
DAY = "2026-03-10"


@pytest.fixture
def receipt(volunteer: Person, repair: Callable[..., str]) -> Receipt:
    data = paper(
        volunteer, "208.25", "8.25", line("pump", "100.00", ("part", repair())),
        line("core", "55.00", ("core", "RO-0001"), taxable=False),
        line("bulbs", "45.00", "shelf", quantity=9000, taxable=False),
    )  # fmt: skip
    return bought(volunteer, data)


def _pump(receipt: Receipt) -> ReceiptPortion:
    return ReceiptPortion.objects.get(line__receipt=receipt, home="part")


def test_the_shelf_is_no_choice_for_work_of_an_outside_shop(
    volunteer: Person, repair: Callable[..., str], client_for: ClientFor
) -> None:
    data = paper(volunteer, "90.00", "0.00", line("alignment", "90.00", ("outside", repair())))
    work = ReceiptPortion.objects.get(line__receipt=bought(volunteer, data))
    url = reverse("receipts:go-back", args=[work.line.receipt.code, work.pk])
    assert "Onto the shelf" not in client_for(volunteer).get(url).content.decode()


def test_a_part_goes_back_and_its_money_comes_in_three_pages(
    receipt: Receipt, volunteer: Person, client_for: ClientFor
) -> None:
    client, portion = client_for(volunteer), _pump(receipt)
    url = reverse("receipts:go-back", args=[receipt.code, portion.pk])
    assert url in client.get(reverse("receipts:receipt", args=[receipt.code])).content.decode()
    form = {"way": "store", "on": DAY, "reason": "wrong part"}
    asked = client.post(url, form).content.decode()
    assert "Gantry Parts owes the fund 108.25." in asked
    assert Claim.objects.count() == 0
    client.post(url, {**form, "confirm": "yes"})
    claim = Claim.objects.get()
    page = client.get(reverse("receipts:claims")).content.decode()
    assert claim.code in page
    end = reverse("receipts:settle", args=[claim.code])
    too_much = client.post(end, {"kind": "bank", "amount": "108.26", "on": DAY})
    assert (too_much.status_code, "108.25 is open" in too_much.content.decode()) == (422, True)
    client.post(end, {"kind": "store_credit", "amount": "108.25", "on": DAY, "confirm": "yes"})
    assert (balance("1100"), balance("1105"), cost_of("RO-0001")) == (m("0.00"), m("108.25"), m("0.00"))
    listed = client.get(reverse("receipts:claims")).content.decode()
    assert "$108.25 at Gantry Parts" in listed
    assert (
        "Nothing has come yet"
        not in client.get(reverse("receipts:claim", args=[claim.code])).content.decode()
    )


@pytest.mark.parametrize(
    ("way", "more", "cost"),
    [
        ("shelf", {}, "0.00"),
        ("rebate", {"amount": "8.25"}, "100.00"),
        ("replaced", {}, "108.25"),
        ("warranty", {}, "0.00"),
    ],
)
def test_each_way_a_part_can_go(
    way: str, more: dict[str, str], cost: str, receipt: Receipt, volunteer: Person, client_for: ClientFor
) -> None:
    url = reverse("receipts:go-back", args=[receipt.code, _pump(receipt).pk])
    form = {"way": way, "on": DAY, "reason": "because", **more}
    answer = client_for(volunteer).post(url, {**form, "confirm": "yes"})
    assert answer.status_code == 302
    assert cost_of("RO-0001") == m(cost)


def test_what_is_missing_is_said_and_what_was_typed_stays(
    receipt: Receipt, volunteer: Person, client_for: ClientFor
) -> None:
    url = reverse("receipts:go-back", args=[receipt.code, _pump(receipt).pk])
    answer = client_for(volunteer).post(url, {"way": "rebate", "on": DAY, "reason": "a card"})
    assert answer.status_code == 422
    assert "Write how much came." in answer.content.decode()
    assert 'value="a card"' in answer.content.decode()


def test_tax_in_error_is_claimed_by_its_page(
    volunteer: Person, repair: Callable[..., str], client_for: ClientFor
) -> None:
    data = paper(volunteer, "108.25", "8.25", line("pump", "100.00", ("part", repair())))
    receipt = bought(volunteer, data)
    url = reverse("receipts:claim-tax", args=[receipt.code])
    answer = client_for(volunteer).post(
        url, {"on": DAY, "note": "certificate", "confirm": "yes"}, follow=True
    )
    assert "8.25 claimed" in answer.content.decode()
    assert cost_of("RO-0001") == m("100.00")


def test_what_was_not_used_goes_back_from_the_page_of_its_lot(
    receipt: Receipt, volunteer: Person, client_for: ClientFor
) -> None:
    issue = issue_from_shelf(
        by=volunteer, item="bulbs", quantity=2000, cost_object="RO-0001", on=date(2026, 3, 5)
    )[0]
    client = client_for(volunteer)
    url = reverse("shelf:unused", args=[issue.pk])
    assert url in client.get(reverse("shelf:lot", args=[issue.lot.code])).content.decode()
    client.post(url, {"quantity": "1", "on": DAY, "reason": "unopened", "confirm": "yes"})
    assert ShelfLot.objects.get(source=issue.lot.code).left_cost == m("5.00")


def test_a_core_has_a_box_and_may_be_paid_after_all(
    receipt: Receipt, volunteer: Person, client_for: ClientFor
) -> None:
    client, core = client_for(volunteer), CoreDeposit.objects.get()
    client.post(reverse("shelf:box", args=[core.code]), {"box": "rack 2"})
    assert "rack 2" in client.get(reverse("shelf:run")).content.decode()
    return_core(by=volunteer, core=core, amount_back=m("0.00"), on=date(2026, 3, 9), kind="refused")
    answer = client.post(
        reverse("shelf:late", args=[core.code]), {"amount": "55.00", "on": DAY, "confirm": "yes"}, follow=True
    )
    assert "55.00 of K-0001 came after all" in answer.content.decode()
    assert balance("5040") == m("0.00")


def test_today_counts_what_a_store_owes_and_cores_that_are_due(receipt: Receipt, volunteer: Person) -> None:
    return_to_store(by=volunteer, portion=_pump(receipt), quantity=1000, on=date(2026, 3, 5), reason="wrong")
    counts = {
        thing.page: thing.count(volunteer)
        for thing in WAITING
        if thing.page in ("receipts:claims", "shelf:run")
    }
    assert counts == {"receipts:claims": 1, "shelf:run": 0}


def test_the_list_of_claims_asks_as_often_for_many_as_for_few(
    volunteer: Person, repair: Callable[..., str], client_for: ClientFor
) -> None:
    repair("RO-0001", "4000.00")
    client, asked = client_for(volunteer), []
    for number in range(12):
        data = paper(
            volunteer, "10.00", "0.00", line("hose", "10.00", ("part", "RO-0001")), number=str(number)
        )
        portion = ReceiptPortion.objects.get(line__receipt=bought(volunteer, data))
        return_to_store(by=volunteer, portion=portion, quantity=1000, on=date(2026, 3, 5), reason="wrong")
        if number in (0, 1, 11):
            with CaptureQueriesContext(connection) as queries:
                assert client.get(reverse("receipts:claims")).status_code == 200
            asked.append(len(queries))
    assert asked[1] == asked[2] <= 12
