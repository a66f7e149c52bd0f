"""The figures below were worked out on paper from the vouchers of the month; none was computed by the program."""

from datetime import date

from fund import clock
from fund.ledger.rules import last_day
from fund.money import Money
from jobs.repairs.models import RepairOrder
from reports.month.actions import differences
from reports.month.queries import figures_of
from tests.fund.receipts.makers import m


def test_a_whole_month_to_the_cent(orders: dict[str, RepairOrder]) -> None:
    figures = figures_of("2026-03")
    ledger = figures.ledger
    assert {row.key: str(row.amount) for row in ledger.money_in} == {
        "platform": "1,184.00",
        "card": "640.00",
        "cash": "212.00",
        "check": "400.00",
        "4010:tires": "150.00",
        "4900": "-60.00",
    }
    parts = {row.key: str(row.amount) for row in ledger.money_out}
    assert m(parts["5000"]) + m(parts["5010"]) == m("941.09")
    del parts["5000"], parts["5010"]
    assert parts == {
        "5040": "44.00",
        "5200": "46.10",
        "5300": "174.90",
        "5310": "12.00",
        "5500": "118.00",
    }
    assert [str(total) for total in (ledger.opening, ledger.total_in, ledger.total_out, ledger.closing)] == [
        "4,563.15", "2,526.00", "1,336.09", "5,753.06",
    ]  # fmt: skip
    assert {row.account: str(row.closing) for row in ledger.holdings} == {
        "1000": "5,407.49",
        "1020": "100.00",
        "1110": "0.00",
        "1200": "245.57",
    }
    assert differences(figures, m("4563.15")) == []


def test_each_purpose_rolls_forward(orders: dict[str, RepairOrder]) -> None:
    rolls = {roll.code: roll for roll in figures_of("2026-03").ledger.purposes}
    tires, general = rolls["tires"], rolls["general"]
    assert [str(x) for x in (tires.opening, tires.money_in, tires.released, tires.money_out, tires.closing)] == [
        "300.00", "150.00", "-325.42", "0.00", "124.58",
    ]  # fmt: skip
    assert str(general.closing) == "5,628.48"


def test_what_may_still_be_promised(orders: dict[str, RepairOrder]) -> None:
    promise = figures_of("2026-03").promise
    assert str(promise.bank) == "5,407.49"
    assert sorted(str(row.amount) for row in promise.subtractions) == ["1,000.00", "124.58", "380.00"]
    assert str(promise.free) == "3,902.91"


def test_repairs_one_line_each(orders: dict[str, RepairOrder]) -> None:
    lines = {line.number: line for line in figures_of("2026-03").repairs}
    told = {letter: lines[order.number] for letter, order in orders.items()}
    assert {letter: str(line.cost) for letter, line in told.items()} == {
        "A": "182.29", "B": "232.73", "C": "200.65", "E": "325.42", "D": "0.00",
    }  # fmt: skip
    assert {letter: (line.clock_tenths, line.book_tenths) for letter, line in told.items()} == {
        "A": (24, 20), "B": (18, 16), "C": (40, 25), "E": (9, 8), "D": (0, 30),
    }  # fmt: skip
    assert told["A"].story == "Grinding when braking. Front pads to metal. Pads and rotors replaced."
    assert told["A"].state == "handed back"
    assert told["D"].state == "approved, waiting for parts"
    assert str(told["D"].promised) == "380.00"
    assert told["B"].cores_out == Money.zero


def test_hours_stand_beside_the_money(orders: dict[str, RepairOrder]) -> None:
    figures = figures_of("2026-03")
    assert figures.tenths == 91
    row = figures.hours[0]
    assert row.rate is not None
    assert row.value.minor == row.rate.minor * 91 // 10
    assert figures.labor_posted == Money.zero


def test_the_shelf(orders: dict[str, RepairOrder]) -> None:
    shelf = figures_of("2026-03").shelf
    assert [str(x) for x in (shelf.opening, shelf.more, shelf.less, shelf.closing)] == [
        "214.75",
        "30.82",
        "0.00",
        "245.57",
    ]


def test_a_closed_month_gives_the_same_figures_as_before_its_close(closed: dict[str, RepairOrder]) -> None:
    with clock.at(date(2026, 5, 20)):
        figures = figures_of("2026-03")
    assert str(figures.ledger.closing) == "5,753.06"
    assert str(figures.promise.free) == "3,902.91"
    assert last_day("2026-03") == date(2026, 3, 31)


def test_the_month_the_books_begin_in_shows_what_was_brought_in(orders: dict[str, RepairOrder]) -> None:
    ledger = figures_of("2026-02").ledger
    assert [(row.key, str(row.amount)) for row in ledger.money_in] == [("brought", "4,563.15")]
    assert ledger.opening == Money.zero
    assert str(ledger.closing) == "4,563.15"
    assert differences(figures_of("2026-02"), None) == []


def test_a_month_with_nothing_in_it_has_figures_too(orders: dict[str, RepairOrder]) -> None:
    figures = figures_of("2026-05")
    assert figures.ledger.money_in == ()
    assert figures.ledger.opening == figures.ledger.closing
    assert differences(figures, None) == []
