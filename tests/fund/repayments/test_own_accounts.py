"""Gifts that came to a crew member's own account: theirs to bring, by one door, and no debt beside it."""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client

from fund.access.models import Person
from fund.gifts.actions import record_gift
from fund.gifts.actions_checks import hand_over
from fund.gifts.models import Gift
from fund.ledger.actions import add_purpose, post
from fund.ledger.chart import BANK, DUE_FROM_CREW
from fund.ledger.queries import balance
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.refusal import BadInput
from fund.repayments.actions import prepare_repayment, release_repayment
from fund.repayments.actions_due import record_overpayment, settle_due
from fund.repayments.proofs import due_breaks
from fund.repayments.queries import due_from, owed_list, owed_row
from reports.position.proofs import prove_all
from tests.fund.gifts.cases import ON, supporter
from tests.fund.receipts.makers import bought, line, m, paper

DAY = date(2026, 3, 12)


def test_a_gift_on_an_own_account_comes_to_the_bank_by_one_door_only(
    bank: None,
    treasurer: Person,
    owner: Person,
    accountant: Person,
    client_for: Callable[[Person], Client],
) -> None:
    told = {"kind": "via crew", "received_on": ON, "supporter": supporter(treasurer), "held_by": owner}
    gift = record_gift(by=treasurer, amount=Money(30000), **told)  # type: ignore[arg-type]
    assert (due_from(owner), owed_row(owner).due, owed_list()) == (Money.zero, Money.zero, [])
    with pytest.raises(BadInput, match=r"owes the fund 0\.00.* Gifts of 300\.00 are on their own account"):
        settle_due(by=treasurer, person=owner, amount=Money(30000), on=date(2026, 3, 12))
    page = client_for(treasurer).get("/crew/repay/to/maren/").content.decode()
    assert "Gifts of $300.00 came to their own account" in page
    mine = client_for(owner).get("/crew/repay/me/").content.decode()
    assert "Gifts of $300.00 came to your own account" in mine
    record_overpayment(
        by=treasurer, person=owner, amount=Money(1000), on=date(2026, 3, 10), reason="paid twice"
    )
    with pytest.raises(BadInput, match=r"owes the fund 10\.00; 10\.01 cannot be settled"):
        settle_due(by=treasurer, person=owner, amount=Money(1001), on=date(2026, 3, 12))
    rags = line("rags", "50.00", "supplies")
    paid = bought(owner, paper(owner, "50.00", "0.00", rags, number="1"))
    kept = prepare_repayment(
        by=treasurer, person=owner, receipts=[paid], on=date(2026, 3, 12), keep=True, papers_seen=True
    )
    assert (kept.kept_due, kept.paid) == (Money(1000), Money(4000))
    release_repayment(by=accountant, repayment=kept)
    hand_over(by=treasurer, gifts=[gift], on=date(2026, 3, 12))
    assert (balance(DUE_FROM_CREW), prove_all().breaks) == (Money.zero, [])


def test_money_for_a_gift_on_an_own_account_that_came_as_a_debt_is_named(
    treasurer: Person, owner: Person
) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires")
    record_gift(
        by=treasurer,
        kind="via crew",
        received_on=DAY,
        amount=m("300.00"),
        supporter=supporter(treasurer),
        held_by=owner,
    )
    assert list(due_breaks()) == []
    lines = [dr(BANK, m("300.00")), cr(DUE_FROM_CREW, m("300.00"), party="maren")]
    post(by=treasurer, draft=EntryDraft("crew paid back", DAY, "paid back", lines))
    assert list(due_breaks()) == ["maren brought back 300.00 more than they owed the fund (account 1130)."]
    Gift.objects.update(purpose="tires")
    assert "Gifts for tires with maren add up to 300.00, but account 1130 holds 0.00." in list(due_breaks())
