"""The shelf: in at what was paid with tax, out first in first out at what that lot cost, counted."""

from collections.abc import Callable
from datetime import date

import pytest

from fund import clock
from fund.access.models import Person
from fund.commitments.queries import open_for
from fund.ledger.queries import balance, cost_of
from fund.money import Money
from fund.receipts.actions_shelf import count_shelf, issue_from_shelf
from fund.receipts.models import ShelfIssue, ShelfLot
from fund.receipts.proofs import breaks
from fund.receipts.queries import lots
from fund.receipts.rules_shelf import Left, first_in_first_out
from fund.refusal import BadInput, NotAllowed, NotEnoughMoney, NotReady
from tests.fund.receipts.makers import bought, entry_lines, line, m, paper, went_into

Repair = Callable[..., str]
DAY = date(2026, 3, 10)


def _to_shelf(
    by: Person, item: str, count: int, amount: str, on: date, unit: str = "each", tax: str = "0.00"
) -> None:
    number = f"{item}-{on}"
    data = paper(
        by,
        str(m(amount) + m(tax)),
        tax,
        line(item, amount, "shelf", quantity=count * 1000, unit=unit),
        on=on,
        number=number,
    )
    bought(by, data)


def test_first_in_first_out_as_published(volunteer: Person, repair: Repair) -> None:
    """OpenStax, Principles of Accounting vol. 1, 10.2 and 10.3 (first in, first out, perpetual).

    150 at 21 on July 1; 120 out on the 5th; 225 at 27 on the 10th; 180 out on the 15th; 210 at 33 on the 25th; 285 are
    left. Issued 7,200, left 8,955 of the 16,155 available. Played through receipts and issues.
    """
    a = repair("RO-0001", "8000.00", "0.00")

    def take(count: int, on: date) -> None:
        issue_from_shelf(by=volunteer, item="unit", quantity=count * 1000, cost_object=a, on=on)

    with clock.at(date(2026, 7, 31)):
        _to_shelf(volunteer, "unit", 150, "3150.00", date(2026, 7, 1))
        take(120, date(2026, 7, 5))
        _to_shelf(volunteer, "unit", 225, "6075.00", date(2026, 7, 10))
        take(180, date(2026, 7, 15))
        _to_shelf(volunteer, "unit", 210, "6930.00", date(2026, 7, 25))
        assert cost_of(a) == m("7200.00")
        assert balance("1200") == m("8955.00")
        assert [(row.left_quantity, str(row.left_cost)) for row in lots()] == [
            (0, "0.00"),
            (75_000, "2,025.00"),
            (210_000, "6,930.00"),
        ]
        assert breaks() == []


def test_nine_of_twelve_quarts_and_then_the_rest(volunteer: Person, repair: Repair) -> None:
    """Common practice, no source: 12 quarts cost 123.27 with tax; 9 are 92.45, the last 3 take what is left, 30.82."""
    c = repair("RO-0003")
    _to_shelf(volunteer, "coolant", 12, "113.88", date(2026, 3, 3), "quart", tax="9.39")
    first = issue_from_shelf(by=volunteer, item="Coolant", quantity=9000, cost_object=c, on=DAY)
    assert entry_lines(first[0].entry_id) == [("5010", "92.45", c, ""), ("1200", "-92.45", "", "")]
    assert open_for(c) == m("407.55")
    issue_from_shelf(by=volunteer, item="coolant", quantity=3000, cost_object=c, on=DAY)
    assert (cost_of(c), balance("1200")) == (m("123.27"), m("0.00"))
    assert went_into(c) == [
        ("coolant", 9000, "92.45"),
        ("coolant", 3000, "30.82"),
    ]


def test_an_issue_may_reach_over_two_lots_and_says_each(volunteer: Person, repair: Repair) -> None:
    a = repair()
    _to_shelf(volunteer, "bulb", 2, "10.00", date(2026, 3, 3))
    _to_shelf(volunteer, "bulb", 2, "12.00", date(2026, 3, 4))
    issues = issue_from_shelf(by=volunteer, item="bulb", quantity=3000, cost_object=a, on=DAY)
    assert [(row.lot.code, row.quantity, str(row.amount)) for row in issues] == [
        ("L-0001", 2000, "10.00"),
        ("L-0002", 1000, "6.00"),
    ]
    assert entry_lines(issues[0].entry_id) == [
        ("5000", "16.00", a, ""),
        ("1200", "-10.00", "", ""),
        ("1200", "-6.00", "", ""),
    ]


def test_one_lot_can_be_named(volunteer: Person, repair: Repair) -> None:
    a = repair()
    _to_shelf(volunteer, "bulb", 2, "10.00", date(2026, 3, 3))
    _to_shelf(volunteer, "bulb", 2, "12.00", date(2026, 3, 4))
    lot = ShelfLot.objects.get(code="L-0002")
    issues = issue_from_shelf(by=volunteer, lot=lot, quantity=1000, cost_object=a, on=DAY)
    assert [str(row.amount) for row in issues] == ["6.00"]


def test_a_lot_that_came_later_cannot_be_used_earlier(volunteer: Person, repair: Repair) -> None:
    a = repair()
    _to_shelf(volunteer, "bulb", 2, "10.00", date(2026, 3, 9))
    with pytest.raises(BadInput, match="no bulb on the shelf on 2026-03-08"):
        issue_from_shelf(by=volunteer, item="bulb", quantity=1000, cost_object=a, on=date(2026, 3, 8))


def test_more_than_is_there_is_refused_with_what_is(volunteer: Person, repair: Repair) -> None:
    a = repair()
    _to_shelf(volunteer, "coolant", 3, "30.82", date(2026, 3, 3), "quart")
    with pytest.raises(NotReady, match="The shelf has 3 quarts of coolant, not 9 quarts"):
        issue_from_shelf(by=volunteer, item="coolant", quantity=9000, cost_object=a, on=DAY)
    assert balance("1200") == m("30.82")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"item": "unicorn"}, "no unicorn on the shelf"),
        ({"quantity": 0}, "more than 0"),
        ({"cost_object": None}, "which repair"),
        ({"cost_object": "RO-9999"}, "which repair"),
        ({"home": "supplies"}, "no single repair"),
        ({"home": "garden"}, "what it is taken for"),
        ({"on": date(2026, 3, 16)}, "still to come"),
    ],
)
def test_what_makes_no_sense_is_refused(
    change: dict[str, object], words: str, volunteer: Person, repair: Repair
) -> None:
    repair("RO-0001")
    _to_shelf(volunteer, "bulb", 2, "10.00", date(2026, 3, 3))
    call: dict[str, object] = {
        "item": "bulb",
        "quantity": 1000,
        "cost_object": "RO-0001",
        "on": DAY,
        **change,
    }
    with pytest.raises(BadInput, match=words):
        issue_from_shelf(by=volunteer, **call)  # type: ignore[arg-type]
    assert ShelfIssue.objects.count() == 0


def test_an_item_in_two_units_must_be_told_apart(volunteer: Person, repair: Repair) -> None:
    a = repair()
    _to_shelf(volunteer, "coolant", 3, "30.82", date(2026, 3, 3), "quart")
    _to_shelf(volunteer, "coolant", 1, "22.00", date(2026, 3, 4), "gallon")
    with pytest.raises(BadInput, match="in two units"):
        issue_from_shelf(by=volunteer, item="coolant", quantity=1000, cost_object=a, on=DAY)
    taken = issue_from_shelf(by=volunteer, item="coolant", unit="gallon", quantity=500, cost_object=a, on=DAY)
    assert str(taken[0].amount) == "11.00"


def test_a_cost_above_the_approval_leaves_the_shelf_full(volunteer: Person, repair: Repair) -> None:
    a = repair("RO-0001", "5.00", "0.50")
    _to_shelf(volunteer, "bulb", 2, "12.00", date(2026, 3, 3))
    with pytest.raises(NotEnoughMoney):
        issue_from_shelf(by=volunteer, item="bulb", quantity=1000, cost_object=a, on=DAY)
    assert ShelfLot.objects.get().left_quantity == 2000
    assert balance("1200") == m("12.00")


def test_the_shop_may_take_supplies_without_a_repair(volunteer: Person, bank: None) -> None:
    _to_shelf(volunteer, "degreaser", 2, "12.00", date(2026, 3, 3), "gallon")
    taken = issue_from_shelf(by=volunteer, item="degreaser", quantity=1000, on=DAY, home="supplies")
    assert entry_lines(taken[0].entry_id) == [("5200", "6.00", "", ""), ("1200", "-6.00", "", "")]


def test_a_count_two_quarts_short_is_written_off_at_cost(volunteer: Person, bank: None) -> None:
    """Common practice, no source: 12 quarts at 123.27, 2 missing, 10.2725 a quart: 20.55."""
    _to_shelf(volunteer, "coolant", 12, "113.88", date(2026, 3, 3), "quart", tax="9.39")
    count = count_shelf(by=volunteer, lot=ShelfLot.objects.get(), counted_quantity=10_000, on=DAY)
    assert entry_lines(count.entry_id) == [("1200", "-20.55", "", ""), ("5100", "20.55", "", "")]
    assert (count.expected, count.counted, count.quantity) == (12_000, 10_000, -2000)
    assert breaks() == []


def test_what_turns_up_again_comes_back_at_cost(volunteer: Person, bank: None) -> None:
    _to_shelf(volunteer, "coolant", 12, "113.88", date(2026, 3, 3), "quart", tax="9.39")
    count_shelf(by=volunteer, lot=ShelfLot.objects.get(), counted_quantity=0, on=DAY)
    assert balance("1200") == Money.zero
    count_shelf(by=volunteer, lot=ShelfLot.objects.get(), counted_quantity=12_000, on=DAY)
    assert (balance("1200"), balance("5100")) == (m("123.27"), m("0.00"))
    assert breaks() == []


def test_a_count_that_agrees_is_kept_and_books_nothing(volunteer: Person, bank: None) -> None:
    _to_shelf(volunteer, "coolant", 12, "113.88", date(2026, 3, 3), "quart")
    count = count_shelf(by=volunteer, lot=ShelfLot.objects.get(), counted_quantity=12_000, on=DAY)
    assert (count.entry, count.amount) == (None, Money.zero)


def test_a_count_above_what_the_lot_ever_held_is_refused(volunteer: Person, bank: None) -> None:
    _to_shelf(volunteer, "coolant", 12, "113.88", date(2026, 3, 3), "quart")
    with pytest.raises(BadInput, match="it cannot hold 13 now"):
        count_shelf(by=volunteer, lot=ShelfLot.objects.get(), counted_quantity=13_000, on=DAY)


def test_only_those_with_the_power_take_and_count(volunteer: Person, accountant: Person, bank: None) -> None:
    _to_shelf(volunteer, "coolant", 12, "113.88", date(2026, 3, 3), "quart")
    with pytest.raises(NotAllowed):
        issue_from_shelf(by=accountant, item="coolant", quantity=1000, on=DAY, home="supplies")
    with pytest.raises(NotAllowed):
        count_shelf(by=accountant, lot=ShelfLot.objects.get(), counted_quantity=0, on=DAY)


def test_the_last_issue_takes_the_last_cents() -> None:
    left, taken = Left("L-0001", 3000, Money(1000)), []
    for _ in range(3):
        take = first_in_first_out([left], 1000, "bulb", "each")[0]
        taken.append(take.amount.minor)
        left = Left("L-0001", left.quantity - 1000, left.cost - take.amount)
    assert taken == [333, 334, 333]
    assert left == Left("L-0001", 0, Money.zero)


def test_do_we_have_this(volunteer: Person, bank: None) -> None:
    _to_shelf(volunteer, "coolant green", 3, "30.82", date(2026, 3, 3), "quart")
    _to_shelf(volunteer, "bulb", 2, "12.00", date(2026, 3, 3))
    assert [row.item for row in lots("green cool")] == ["coolant green"]
    assert not lots("unicorn").exists()
