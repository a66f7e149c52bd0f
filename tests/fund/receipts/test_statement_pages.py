"""A statement of the trade account: the missing paper is found first, what agrees is paid, the rest is asked about."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fund.access.models import Person
from fund.ledger.models import Entry
from fund.ledger.queries import balance
from fund.receipts.actions import save_draft
from fund.receipts.actions_claims import settle_claim
from fund.receipts.actions_returns import return_to_store
from fund.receipts.actions_statement import answer_question, ask_store
from fund.receipts.models import BillPayment, Receipt, ReceiptPortion, Supplier
from fund.receipts.models_returns import StatementQuestion
from fund.refusal import AlreadyDone, BadInput, NotAllowed
from tests.fund.receipts.makers import DAY, bought, entry_lines, line, m, paper

ClientFor = Callable[[Person], Client]


def _bill(by: Person, amount: str, number: str, **more: object) -> Receipt:
    rags = line("rags", amount, "supplies")
    return bought(by, paper(by, amount, "0.00", rags, number=number, **{"tender": "supplier_bill", **more}))


@pytest.fixture
def store(volunteer: Person, bank: None) -> Supplier:
    return [_bill(volunteer, amount, number) for number, amount in (("1", "172.40"), ("2", "200.00"))][
        0
    ].supplier


def _typed(said: str = "410.00", rows: str = "", **more: str) -> dict[str, str]:
    return {"said": said, "on": "2026-03-14", "rows": rows, "compare": "yes", **more}


ROWS = "1 2026-03-03 172.40\n2 2026-03-03 200.00\n3 2026-03-12 37.60"


def test_of_a_statement_of_410_00_the_papers_of_372_40_are_paid_and_37_60_is_asked_about(
    store: Supplier, owner: Person, client_for: ClientFor
) -> None:
    page, address = client_for(owner), reverse("receipts:statement", args=[store.pk])
    assert address in page.get(reverse("receipts:bills")).content.decode()
    shown = page.post(address, _typed(rows=ROWS)).content.decode()
    assert "Find the missing 37.60 before it is paid: the papers here add up to 372.40." in shown
    assert "On the statement, no paper here: no. 3 of 2026-03-12 37.60." in shown
    assert "Pay what agrees, $372.40" in shown
    asked = page.post(address, {**_typed(rows=ROWS), "ask": "yes"}, follow=True).content.decode()
    assert "Q-0001 is kept until Gantry Parts has answered." in asked
    assert "statement of 2026-03-14 410.00, papers 372.40" in asked
    entries = Entry.objects.count()

    pay = reverse("receipts:pay-bill", args=[store.pk])
    ready = page.get(f"{pay}?bill=R-00001&bill=R-00002").content.decode()
    assert 'value="372.40"' in ready
    assert ready.count("checked") == 2
    bills = [str(row.pk) for row in Receipt.objects.order_by("pk")]
    typed = {"receipts": bills, "on": "2026-03-14"}
    refused = page.post(pay, {**typed, "amount": "410.00", "confirm": "yes"})
    assert (refused.status_code, Entry.objects.count()) == (422, entries)
    page.post(pay, {**typed, "amount": "372.40", "confirm": "yes"})
    assert entry_lines(BillPayment.objects.get().entry_id) == [
        ("2000", "372.40", "", "Gantry Parts"),
        ("1000", "-372.40", "", ""),
    ]
    answer = reverse("receipts:answer", args=["Q-0001"])
    page.post(answer, {"answer": "sent the missing slip, number 3"})
    question = StatementQuestion.objects.get()
    assert (question.apart, question.answered_by) == (m("37.60"), owner)
    assert "Q-0001, Gantry Parts" not in page.get(reverse("receipts:bills")).content.decode()


def test_once_the_missing_paper_is_found_the_whole_statement_agrees(
    store: Supplier, volunteer: Person, owner: Person, client_for: ClientFor
) -> None:
    _bill(volunteer, "37.60", "3")
    page, address = client_for(owner), reverse("receipts:statement", args=[store.pk])
    for rows in ("", ROWS):
        shown = page.post(address, _typed(rows=rows)).content.decode()
        assert "It agrees:" in shown
        assert "Pay what agrees, $410.00" in shown
        assert "as a question to" not in shown


def test_the_missing_amount_is_looked_for_among_drafts_other_purses_paid_bills_and_claims(
    store: Supplier, volunteer: Person, owner: Person, client_for: ClientFor
) -> None:
    rags = line("rags", "37.60", "supplies")
    save_draft(by=volunteer, data=paper(volunteer, "37.60", "0.00", rags, number="3"))
    _bill(volunteer, "37.60", "4", tender="fund_card")
    back = _bill(volunteer, "37.60", "5", tender="own_money")
    portion = ReceiptPortion.objects.get(line__receipt=back)
    return_to_store(by=volunteer, portion=portion, quantity=1000, on=DAY, reason="wrong ones")
    shown = client_for(owner).post(reverse("receipts:statement", args=[store.pk]), _typed()).content.decode()
    for words in (
        "R-00003 of 2026-03-03, 37.60, is a draft of Tavi Brandt and not posted yet.",
        "R-00004 of 2026-03-03, 37.60, was entered as paid with the fund&#x27;s card: was it put on the account instead?",
        "B-0001, rags: 37.60 is due from the store and not on the statement yet.",
        "Pay what the papers say, $372.40",
    ):
        assert words in shown


def test_rows_that_do_not_add_up_and_rows_without_an_amount_come_back_as_typed(
    store: Supplier, owner: Person, client_for: ClientFor
) -> None:
    page, address = client_for(owner), reverse("receipts:statement", args=[store.pk])
    for rows, words in (("1 172.40", "The rows add up to 172.40"), ("1 abc", "Row 1, “1 abc”")):
        answer = page.post(address, _typed(rows=rows))
        assert answer.status_code == 422
        assert words in answer.content.decode()
        assert f"{rows}</textarea>" in answer.content.decode()


def test_a_question_needs_a_difference_an_answer_words_and_both_the_power(
    store: Supplier, owner: Person, volunteer: Person
) -> None:
    told: dict[str, Any] = {
        "supplier": store,
        "on": DAY,
        "said": m("410.00"),
        "papers": m("372.40"),
        "text": "37.60?",
    }
    with pytest.raises(NotAllowed):
        ask_store(by=volunteer, **told)
    with pytest.raises(BadInput, match="nothing to ask"):
        ask_store(by=owner, **{**told, "papers": m("410.00")})
    question = ask_store(by=owner, **told)
    with pytest.raises(BadInput, match="what the store answered"):
        answer_question(by=owner, question=question, answer=" ")
    answer_question(by=owner, question=question, answer="their mistake")
    with pytest.raises(AlreadyDone, match="answered on 2026-03-15"):
        answer_question(by=owner, question=question, answer="again")
    assert balance("2000") == m("-372.40")


def test_a_refund_set_against_a_bill_is_off_what_the_pages_say_is_owed(
    store: Supplier, volunteer: Person, owner: Person, client_for: ClientFor
) -> None:
    back = _bill(volunteer, "12.40", "5", tender="own_money")
    portion = ReceiptPortion.objects.get(line__receipt=back)
    claim = return_to_store(by=volunteer, portion=portion, quantity=1000, on=DAY, reason="wrong ones")
    bill = Receipt.objects.get(number="1")
    settle_claim(by=volunteer, claim=claim, kind="bill", amount=m("12.40"), on=DAY, bill=bill)
    page = client_for(owner)
    assert ">360.00<" in page.get(reverse("receipts:bills")).content.decode()
    shown = page.get(reverse("receipts:pay-bill", args=[store.pk]) + f"?bill={bill.code}").content.decode()
    assert "number 1: 160.00" in shown
    assert 'value="160.00"' in shown
    compared = page.post(reverse("receipts:statement", args=[store.pk]), _typed("360.00")).content.decode()
    assert "It agrees:" in compared


def test_the_pages_of_bills_ask_as_often_for_many_bills_as_for_few(
    store: Supplier, volunteer: Person, owner: Person, client_for: ClientFor
) -> None:
    page = client_for(owner)

    def asked() -> list[int]:
        counts = []
        for name, args in (("bills", []), ("pay-bill", [store.pk])):
            with CaptureQueriesContext(connection) as queries:
                page.get(reverse(f"receipts:{name}", args=args))
            counts.append(len(queries))
        with CaptureQueriesContext(connection) as queries:
            page.post(reverse("receipts:statement", args=[store.pk]), _typed())
        return [*counts, len(queries)]

    few = asked()
    for number in range(10, 22):
        _bill(volunteer, "5.00", str(number))
    assert asked() == few
    assert max(few) <= 12
