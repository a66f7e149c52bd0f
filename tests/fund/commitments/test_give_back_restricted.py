"""What a restriction had paid for goes back to the restriction when the part goes back."""

from datetime import date

from fund.access.models import Person
from fund.commitments.actions import promise
from fund.commitments.queries import allowance, open_by_purpose, position
from fund.commitments.rules import restricted_back
from fund.ledger.actions import add_cost_object, add_purpose, post
from fund.ledger.chart import BANK, GIFTS_RESTRICTED
from fund.ledger.models import Entry
from fund.ledger.rules import EntryDraft, cr, dr
from fund.receipts.actions_returns import return_to_store
from fund.receipts.actions_takeback import take_back
from fund.receipts.models import Receipt, ReceiptPortion
from tests.fund.receipts.makers import bought, entry_lines, fill_bank, line, m, paper

DAY = date(2026, 3, 10)


def _tires(by: Person, owner: Person, treasurer: Person, cost: str) -> Receipt:
    """A gift of 300.00 for tires, 400.00 promised to a repair, of which the gift carries the first 300.00."""
    fill_bank(treasurer)
    add_purpose(by=treasurer, code="tires", name="Tires")
    lines = [dr(BANK, m("300.00"), purpose="tires"), cr(GIFTS_RESTRICTED, m("300.00"), purpose="tires")]
    post(by=treasurer, draft=EntryDraft("gift", date(2026, 3, 1), "For tires", lines))
    add_cost_object(by=owner, code="RO-0001", label="Elm")
    promise(
        by=owner, cost_object="RO-0001", amount=m("400.00"), tolerance=m("40.00"), purpose="tires",
        reason="approved", on=date(2026, 3, 2),
    )  # fmt: skip
    return bought(by, paper(by, cost, "0.00", line("tire", cost, ("part", "RO-0001"), quantity=4000)))


def test_general_money_comes_back_first_and_the_restriction_after_it(
    volunteer: Person, owner: Person, treasurer: Person
) -> None:
    receipt = _tires(volunteer, owner, treasurer, "360.00")
    assert position().restricted == m("0.00")
    portion = ReceiptPortion.objects.get(line__receipt=receipt)
    claim = return_to_store(by=volunteer, portion=portion, quantity=1000, on=DAY, reason="one too many")
    assert (position().restricted, allowance("RO-0001").spent) == (m("30.00"), m("270.00"))
    assert open_by_purpose(cost_object="RO-0001") == {"general": m("100.00"), "tires": m("30.00")}
    undone = Entry.objects.get(kind="release", number__gt=claim.entry_id)
    assert entry_lines(undone.number) == [
        ("3000", "30.00", "RO-0001", ""),
        ("1000", "-30.00", "", ""),
        ("1000", "30.00", "", ""),
        ("3100", "-30.00", "RO-0001", ""),
    ]


def test_a_receipt_taken_back_gives_the_restriction_all_it_had_paid(
    volunteer: Person, owner: Person, treasurer: Person
) -> None:
    receipt = _tires(volunteer, owner, treasurer, "420.00")
    take_back(by=treasurer, receipt=receipt, reason="wrong repair")
    assert (position().restricted, allowance("RO-0001").spent) == (m("300.00"), m("0.00"))
    assert open_by_purpose(cost_object="RO-0001") == {"general": m("100.00"), "tires": m("300.00")}


def test_what_each_restriction_gets_back() -> None:
    paid = {"a": m("50.00"), "b": m("30.00")}
    assert restricted_back(m("20.00"), m("100.00"), paid) == {}
    assert restricted_back(m("40.00"), m("100.00"), paid) == {"b": m("20.00")}
    assert restricted_back(m("100.00"), m("100.00"), paid) == paid
