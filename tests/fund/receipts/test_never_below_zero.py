"""What lowers the cost of a repair takes only what is still in it, in whatever order it comes.

The receipt is the published one of 182.29 with 13.89 of tax; the rest is common practice and has no source.
"""

from collections.abc import Callable
from datetime import date

import pytest

from fund.access.models import Person
from fund.commitments.queries import open_for
from fund.ledger.queries import balance, cost_of
from fund.money import Money
from fund.proofs import FUND_PROOFS
from fund.receipts.actions_claims import claim_tax
from fund.receipts.actions_insurance import claim_insurance
from fund.receipts.actions_returns import book_rebate, return_to_shelf, return_to_store
from fund.receipts.actions_takeback import recover_paid_twice
from fund.receipts.in_cost import in_cost, in_cost_of
from fund.receipts.models import Receipt, ReceiptPortion
from fund.receipts.models_returns import PartReturn
from fund.receipts.proofs import breaks, cost_breaks
from fund.receipts.rules_returns import InCost, still_in_cost
from fund.refusal import NotReady
from fund.repayments.actions import prepare_repayment, release_repayment
from tests.fund.receipts.makers import bought, entry_lines, line, m, paper

DAY = date(2026, 3, 10)
STORE = "Gantry Parts"


@pytest.fixture
def receipt(volunteer: Person, repair: Callable[..., str]) -> Receipt:
    rotors = line("rotors", "168.40", ("part", repair()), quantity=2000)
    return bought(volunteer, paper(volunteer, "182.29", "13.89", rotors))


@pytest.fixture
def part(receipt: Receipt) -> ReceiptPortion:
    return ReceiptPortion.objects.get()


def _is(cost: str) -> None:
    assert (cost_of("RO-0001"), balance("5000")) == (m(cost), m(cost))
    assert open_for("RO-0001") == m("500.00") - m(cost)
    assert breaks() == []


def test_the_tax_of_what_went_back_is_not_claimed_a_second_time(
    receipt: Receipt, part: ReceiptPortion, volunteer: Person
) -> None:
    return_to_store(by=volunteer, portion=part, quantity=2000, on=DAY, reason="wrong part")
    with pytest.raises(NotReady, match="Nothing of the tax of R-00001 is still in a cost"):
        claim_tax(by=volunteer, receipt=receipt, on=DAY, note="exempt")
    _is("0.00")


def test_after_the_tax_was_claimed_only_the_rest_goes_back(
    receipt: Receipt, part: ReceiptPortion, volunteer: Person
) -> None:
    claim_tax(by=volunteer, receipt=receipt, on=DAY, note="exempt")
    assert in_cost(part) == InCost(2000, m("168.40"), m("0.00"))
    claim = return_to_store(by=volunteer, portion=part, quantity=2000, on=DAY, reason="wrong part")
    assert entry_lines(claim.entry_id) == [
        ("1100", "168.40", "RO-0001", STORE),
        ("5000", "-168.40", "RO-0001", ""),
    ]
    assert balance("1100") == m("182.29")
    _is("0.00")


def test_of_half_that_stays_half_the_tax_is_claimed(
    receipt: Receipt, part: ReceiptPortion, volunteer: Person
) -> None:
    return_to_store(by=volunteer, portion=part, quantity=1000, on=DAY, reason="one too many")
    claim = claim_tax(by=volunteer, receipt=receipt, on=DAY, note="exempt")
    assert entry_lines(claim.entry_id) == [("1100", "6.94", "", STORE), ("5000", "-6.94", "RO-0001", "")]
    _is("84.20")
    row = PartReturn.objects.get(to="tax")
    assert (row.portion, row.quantity, row.amount, row.entry_id) == (part, 0, m("6.94"), claim.entry_id)


def test_a_rebate_of_everything_leaves_no_tax_to_claim(
    receipt: Receipt, part: ReceiptPortion, volunteer: Person
) -> None:
    book_rebate(by=volunteer, portion=part, amount=m("182.29"), on=DAY, reason="mail-in")
    with pytest.raises(NotReady, match="Nothing of the tax"):
        claim_tax(by=volunteer, receipt=receipt, on=DAY, note="exempt")
    with pytest.raises(NotReady, match="Nothing of what “rotors” cost is left"):
        return_to_store(by=volunteer, portion=part, quantity=2000, on=DAY, reason="wrong part")
    _is("0.00")


def test_a_rebate_takes_the_price_first_and_of_the_tax_only_what_it_is_above_it(
    receipt: Receipt, part: ReceiptPortion, volunteer: Person
) -> None:
    book_rebate(by=volunteer, portion=part, amount=m("170.00"), on=DAY, reason="mail-in")
    assert in_cost(part) == InCost(2000, m("0.00"), m("12.29"))
    assert claim_tax(by=volunteer, receipt=receipt, on=DAY, note="exempt").amount == m("12.29")
    _is("0.00")


def test_the_tax_of_what_went_to_the_shelf_stays_in_the_stock(
    receipt: Receipt, part: ReceiptPortion, volunteer: Person
) -> None:
    return_to_shelf(by=volunteer, portion=part, quantity=1000, on=DAY, reason="not used")
    claim_tax(by=volunteer, receipt=receipt, on=DAY, note="exempt")
    assert balance("1200") == m("91.15")
    _is("84.20")


def test_a_receipt_of_which_something_left_is_not_written_off_as_paid_twice(
    receipt: Receipt, part: ReceiptPortion, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    paid = prepare_repayment(papers_seen=True, by=treasurer, person=volunteer, receipts=[receipt], on=DAY)
    release_repayment(by=owner, repayment=paid)
    return_to_store(by=volunteer, portion=part, quantity=2000, on=DAY, reason="wrong part")
    with pytest.raises(NotReady, match="R-00001 went back, was claimed or came as a rebate"):
        recover_paid_twice(by=treasurer, receipt=receipt, reason="a copy", on=DAY)
    _is("0.00")
    receipt.refresh_from_db()
    assert receipt.state == "posted"


def test_a_receipt_whose_tax_was_claimed_is_not_written_off_as_paid_twice(
    receipt: Receipt, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    paid = prepare_repayment(papers_seen=True, by=treasurer, person=volunteer, receipts=[receipt], on=DAY)
    release_repayment(by=owner, repayment=paid)
    claim_tax(by=volunteer, receipt=receipt, on=DAY, note="exempt")
    with pytest.raises(NotReady, match="Correct it by an entry in the books"):
        recover_paid_twice(by=treasurer, receipt=receipt, reason="a copy", on=DAY)
    _is("168.40")


def test_an_insurer_pays_at_most_the_loss_without_the_tax_that_was_claimed(
    volunteer: Person, repair: Callable[..., str]
) -> None:
    hose = line("hose broken in the shop", "168.40", ("mishap", repair()))
    receipt = bought(volunteer, paper(volunteer, "182.29", "13.89", hose))
    claim_tax(by=volunteer, receipt=receipt, on=DAY, note="exempt")
    claim_insurance(
        by=volunteer, portion=ReceiptPortion.objects.get(), amount=m("168.40"), insurer="Mutual of Larkwater", on=DAY,
        reason="agreed",
    )  # fmt: skip
    assert cost_of("RO-0001") == m("0.00")
    assert breaks() == []


def test_the_proof_names_the_line_whose_cost_is_below_zero(
    receipt: Receipt, part: ReceiptPortion, volunteer: Person
) -> None:
    """Written past the actions, as books of before the rule may hold it."""
    claim = return_to_store(by=volunteer, portion=part, quantity=2000, on=DAY, reason="wrong part")
    PartReturn.objects.create(
        portion=part, to="tax", quantity=0, amount=m("13.89"), reason="tax", on=DAY, entry=claim.entry, by=volunteer
    )  # fmt: skip
    assert breaks() == ["R-00001, “rotors” for RO-0001: 13.89 more was taken off its cost than it was."]


def test_the_proof_names_a_tax_claim_that_is_not_what_left_the_lines(
    receipt: Receipt, part: ReceiptPortion, volunteer: Person
) -> None:
    claim = claim_tax(by=volunteer, receipt=receipt, on=DAY, note="exempt")
    PartReturn.objects.create(
        portion=part, to="tax", quantity=0, amount=m("0.09"), reason="tax", on=DAY, entry=claim.entry, by=volunteer
    )  # fmt: skip
    assert breaks() == ["B-0001: the tax that left its lines is 13.98, but 13.89 was claimed."]


def test_a_cent_of_tax_on_a_line_in_two_parts_is_in_one_of_them(
    volunteer: Person, repair: Callable[..., str]
) -> None:
    both = line(
        "fluid", "10.00", ("fluid", repair(), 1000), ("fluid", repair("RO-0002"), 1000), quantity=2000
    )
    receipt = bought(volunteer, paper(volunteer, "10.01", "0.01", both))
    assert sorted(still.tax for still in in_cost_of(receipt).values()) == [m("0.00"), m("0.01")]
    assert claim_tax(by=volunteer, receipt=receipt, on=DAY, note="exempt").amount == m("0.01")


Left = list[tuple[str, int, int]]


@pytest.mark.parametrize(
    ("left", "still"),
    [
        ([], (4000, 1000, 80)),
        ([("replaced", 1000, 0)], (4000, 1000, 80)),
        ([("store", 1000, 270)], (3000, 750, 60)),
        ([("tax", 0, 80), ("shelf", 2000, 500)], (2000, 500, 0)),
        ([("rebate", 0, 1040)], (4000, 0, 40)),
        ([("insurer", 0, 100), ("store", 4000, 980)], (0, 0, 0)),
    ],
)
def test_price_and_tax_are_followed_apart(left: Left, still: tuple[int, int, int]) -> None:
    came = InCost(4000, Money(1000), Money(80))
    rows = [(to, quantity, Money(amount)) for to, quantity, amount in left]
    assert still_in_cost(came, rows) == InCost(still[0], Money(still[1]), Money(still[2]))


def test_check_books_asks_for_it() -> None:
    assert ("nothing gave back more than it cost", cost_breaks) in FUND_PROOFS
