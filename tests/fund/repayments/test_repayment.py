"""Owed to the crew: one person prepares, another releases, the claimant does neither, and a receipt is paid once."""

from datetime import date

import pytest
from django.contrib.auth.models import Group
from django.db import IntegrityError, transaction

from fund.access.models import Person
from fund.ledger.queries import balance
from fund.receipts.models import Receipt
from fund.refusal import AlreadyDone, BadInput, NotAllowed, TwoPeopleNeeded
from fund.repayments.actions import cancel_repayment, prepare_repayment, release_repayment
from fund.repayments.actions_due import settle_due
from fund.repayments.models import RepaymentItem
from fund.repayments.queries import due_from, owed_list, owed_row, owed_to, waiting_for_release
from tests.fund.receipts.makers import bought, entry_lines, line, m, paper

DAY = date(2026, 3, 12)


@pytest.fixture
def receipts(volunteer: Person, bank: None) -> list[Receipt]:
    """Common practice, no source: V1 has paid 86.60, 48.71 and 25.98, together 161.29."""
    return [
        bought(
            volunteer,
            paper(
                volunteer,
                amount,
                "0.00",
                line("rags", amount, "supplies"),
                number=str(day),
                on=date(2026, 3, day),
            ),
        )
        for day, amount in ((3, "86.60"), (5, "48.71"), (9, "25.98"))
    ]


def _also(person: Person, role: str) -> Person:
    person.groups.add(Group.objects.get(name=role))
    return Person.objects.get(pk=person.pk)


def test_what_is_owed_is_told_with_its_age(receipts: list[Receipt], volunteer: Person) -> None:
    row = owed_list()[0]
    assert (row.person, row.amount, row.receipts, row.days) == (volunteer, m("161.29"), 3, 12)
    assert owed_to(volunteer) == m("161.29")


def test_one_payment_clears_named_receipts(
    receipts: list[Receipt], volunteer: Person, treasurer: Person, owner: Person
) -> None:
    prepared = prepare_repayment(
        papers_seen=True, by=treasurer, person=volunteer, receipts=receipts[:2], on=DAY
    )
    assert (prepared.code, prepared.amount, balance("2010")) == ("P-0001", m("135.31"), m("-161.29"))
    assert [row.code for row in waiting_for_release()] == ["P-0001"]
    paid = release_repayment(by=owner, repayment=prepared)
    assert entry_lines(paid.entry_id) == [("2010", "135.31", "", "tavi"), ("1000", "-135.31", "", "")]
    assert (balance("2010"), owed_to(volunteer)) == (m("-25.98"), m("25.98"))
    assert owed_row(volunteer).receipts == 1


def test_a_receipt_is_paid_once(
    receipts: list[Receipt], volunteer: Person, treasurer: Person, owner: Person
) -> None:
    prepared = prepare_repayment(
        papers_seen=True, by=treasurer, person=volunteer, receipts=receipts[:1], on=DAY
    )
    with pytest.raises(AlreadyDone, match="R-00001 is in repayment P-0001 already"):
        prepare_repayment(papers_seen=True, by=treasurer, person=volunteer, receipts=receipts, on=DAY)
    release_repayment(by=owner, repayment=prepared)
    with pytest.raises(AlreadyDone, match="P-0001 is paid already"):
        release_repayment(by=owner, repayment=prepared)
    with pytest.raises(IntegrityError), transaction.atomic():
        RepaymentItem.objects.create(repayment=prepared, receipt=receipts[0], amount=m("86.60"))


def test_nobody_prepares_or_releases_money_for_themselves(
    receipts: list[Receipt], volunteer: Person, treasurer: Person
) -> None:
    claimant = _also(volunteer, "treasurer")
    with pytest.raises(TwoPeopleNeeded, match="for themselves"):
        prepare_repayment(papers_seen=True, by=claimant, person=claimant, receipts=receipts, on=DAY)
    prepared = prepare_repayment(papers_seen=True, by=treasurer, person=volunteer, receipts=receipts, on=DAY)
    with pytest.raises(TwoPeopleNeeded, match="for themselves"):
        release_repayment(by=_also(volunteer, "owner"), repayment=prepared)


def test_who_prepares_does_not_release(receipts: list[Receipt], volunteer: Person, treasurer: Person) -> None:
    both = _also(treasurer, "owner")
    prepared = prepare_repayment(papers_seen=True, by=both, person=volunteer, receipts=receipts, on=DAY)
    with pytest.raises(TwoPeopleNeeded, match="two different people"):
        release_repayment(by=both, repayment=prepared)


def test_the_powers_are_held_apart(
    receipts: list[Receipt], volunteer: Person, treasurer: Person, owner: Person
) -> None:
    with pytest.raises(NotAllowed, match="treasurer"):
        prepare_repayment(papers_seen=True, by=owner, person=volunteer, receipts=receipts, on=DAY)
    prepared = prepare_repayment(papers_seen=True, by=treasurer, person=volunteer, receipts=receipts, on=DAY)
    with pytest.raises(NotAllowed, match="owner"):
        release_repayment(by=treasurer, repayment=prepared)


def test_a_cancelled_repayment_opens_its_receipts_again(
    receipts: list[Receipt], volunteer: Person, treasurer: Person, owner: Person
) -> None:
    prepared = prepare_repayment(papers_seen=True, by=treasurer, person=volunteer, receipts=receipts, on=DAY)
    assert owed_to(volunteer) == m("0.00")
    with pytest.raises(BadInput, match="why"):
        cancel_repayment(by=treasurer, repayment=prepared, reason="")
    cancelled = cancel_repayment(by=treasurer, repayment=prepared, reason="one receipt is not hers")
    assert cancelled.note == "one receipt is not hers"
    assert [item.code for item in cancelled.items.all()] == ["R-00001", "R-00002", "R-00003"]
    assert owed_to(volunteer) == m("161.29")
    with pytest.raises(AlreadyDone, match="cancelled already"):
        release_repayment(by=owner, repayment=cancelled)


def test_only_the_persons_own_posted_receipts_fit(
    receipts: list[Receipt], volunteer: Person, volunteer2: Person, treasurer: Person
) -> None:
    with pytest.raises(BadInput, match="R-00001 is not a posted receipt paid with Jun Okafor's own money"):
        prepare_repayment(papers_seen=True, by=treasurer, person=volunteer2, receipts=receipts, on=DAY)
    with pytest.raises(BadInput, match="Choose the receipts"):
        prepare_repayment(papers_seen=True, by=treasurer, person=volunteer, receipts=[], on=DAY)
    with pytest.raises(BadInput, match="before the day of the newest receipt"):
        prepare_repayment(
            papers_seen=True, by=treasurer, person=volunteer, receipts=receipts, on=date(2026, 3, 8)
        )


def test_a_payment_still_to_come_is_not_released(
    receipts: list[Receipt], volunteer: Person, treasurer: Person, owner: Person
) -> None:
    prepared = prepare_repayment(
        papers_seen=True, by=treasurer, person=volunteer, receipts=receipts, on=date(2026, 3, 20)
    )
    with pytest.raises(BadInput, match="still to come"):
        release_repayment(by=owner, repayment=prepared)
    assert balance("2010") == m("-161.29")


def test_what_a_person_owes_the_fund_can_be_paid_back(
    volunteer: Person, treasurer: Person, bank: None
) -> None:
    pads, snack = line("rags", "40.00", "supplies"), line("snack", "20.00", "personal")
    bought(volunteer, paper(volunteer, "60.00", "0.00", pads, snack, tender="fund_card"))
    assert due_from(volunteer) == m("20.00")
    assert owed_list()[0].due == m("20.00")
    with pytest.raises(BadInput, match="owes the fund 20.00; 25.00 cannot"):
        settle_due(by=treasurer, person=volunteer, amount=m("25.00"), on=DAY)
    settle_due(by=treasurer, person=volunteer, amount=m("20.00"), on=DAY)
    assert (due_from(volunteer), balance("1130"), owed_list()) == (m("0.00"), m("0.00"), [])
