"""Reading a payout file: what is read, and the sentence for each thing that cannot be."""

from dataclasses import replace
from datetime import date

import pytest

from fund.gifts.rules_layout import LayoutSpec
from fund.gifts.rules_reading import MAX_BYTES, FileReading, read_file
from fund.gifts.rules_rows import parse_day
from fund.money import Money
from fund.refusal import BadInput

LAYOUT = LayoutSpec(
    name="test",
    columns={
        "ref": "Id",
        "date": "Day",
        "type": "Kind",
        "amount": "Sum",
        "net": "Net",
        "purpose": "For",
        "name": "Who",
    },
    fees={"Share": "platform", "Card": "processing"},
    words={"gift": "gift", "back": "refund", "to bank": "payout", "declined": "skip"},
    purposes={"Tires": "tires"},
    ignored=("Town",),
)
HEADER = "Id,Day,Kind,Sum,Share,Card,Net,For,Who"
TODAY = date(2026, 3, 15)


def read(*lines: str, layout: LayoutSpec = LAYOUT, header: str = HEADER) -> FileReading:
    return read_file("\n".join([header, *lines]).encode(), layout, today=TODAY)


def problem(line: str, layout: LayoutSpec = LAYOUT) -> str:
    reading = read(line, layout=layout)
    assert reading.rows == []
    return reading.problems[0].sentence


def refusal(data: bytes, layout: LayoutSpec = LAYOUT) -> BadInput:
    with pytest.raises(BadInput) as caught:
        read_file(data, layout, today=TODAY)
    return caught.value


def test_a_row_is_read_into_typed_values() -> None:
    row = read('g1,2026-03-02,Gift,"1,025.00",82.00,30.03,912.97,TIRES,Ada Moss').rows[0]
    assert (row.row, row.kind, row.ref, row.on) == (2, "gift", "g1", date(2026, 3, 2))
    assert (row.amount, row.platform_fee, row.processing_fee) == (Money(102500), Money(8200), Money(3003))
    assert (row.purpose, row.name) == ("tires", "Ada Moss")


def test_rows_are_numbered_as_a_spreadsheet_numbers_them() -> None:
    reading = read("g1,2026-03-02,gift,5.00,,,,,", "", "g2,2026-03-02,gift,oops,,,,,")
    assert reading.rows[0].row == 2
    assert reading.problems[0].row == 4


def test_a_byte_order_mark_of_a_spreadsheet_is_no_part_of_the_first_column() -> None:
    data = "\ufeff".encode() + f"{HEADER}\ng1,2026-03-02,gift,5.00,,,,,".encode()
    assert read_file(data, LAYOUT, today=TODAY).rows[0].ref == "g1"


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("g1,2026-03-02,gift,abc,,,,,", "Row 2, column “Sum”: “abc” is not an amount of money. Write it like 1184.00."),
        ("g1,2026-03-02,gift,,,,,,", "Row 2, column “Sum”: “” is not an amount of money. Write it like 1184.00."),
        ("g1,2026-03-02,gift,1.005,,,,,", "Row 2, column “Sum”: “1.005” has parts of a cent. Write two places after the point."),
        ("g1,2026-03-02,gift,--5,,,,,", "Row 2, column “Sum”: “--5” is not an amount of money. Write it like 1184.00."),
        ("g1,2026-03-02,gift,(-5),,,,,", "Row 2, column “Sum”: “(-5)” is not an amount of money. Write it like 1184.00."),
        (
            "g1,2026-03-02,gift,5.00,-$-0.40,,,,",
            "Row 2, column “Share”: “-$-0.40” is not an amount of money. Write it like 1184.00.",
        ),
        ("g1,2026-03-02,gift,0.00,,,,,", "Row 2, column “Sum”: A gift must be more than zero, not 0.00."),
        ("g1,2026-03-02,back,-3.00,,,,,", "Row 2, column “Sum”: A refund must be more than zero, not -3.00."),
        (
            "g1,2026-03-02,gift,5.00,-0.40,,,,",
            "Row 2, column “Share”: the fee -0.40 is negative. A fee given back needs a row of its own.",
        ),
        ("g1,2026-03-02,to bank,5.00,0.40,,,,", "Row 2, column “Share”: only a gift, a refund or a chargeback can carry a fee."),
        ("g1,2026-03-02,gift,5.00,0.40,,4.61,,", "Row 2, column “Net”: 5.00 less 0.40 fees is 4.60, the file says 4.61."),
        ("g1,03/02/2026,gift,5.00,,,,,", "Row 2, column “Day”: “03/02/2026” is not a date in the order YMD."),
        ("g1,2026-02-30,gift,5.00,,,,,", "Row 2, column “Day”: “2026-02-30” is not a date in the order YMD."),
        ("g1,2026-03-16,gift,5.00,,,,,", "Row 2, column “Day”: 2026-03-16 is after today."),
        (
            "g1,1999-12-31,gift,5.00,,,,,",
            "Row 2, column “Day”: 1999-12-31 is before 2000-01-01, the first day that these books take. Export a later period.",
        ),
        ("g1,2026-03-02,gratuity,5.00,,,,,", "Row 2, column “Kind”: “gratuity” is not a kind of row that the layout knows."),
        (",2026-03-02,gift,5.00,,,,,", "Row 2, column “Id”: is empty; every row needs its own id."),
        ("g1,2026-03-02,gift,5.00,,,,wheels,", "Row 2, column “For”: “wheels” is not a purpose that the layout knows."),
        ("g1,2026-03-02,gift,5.00,,", "Row 2: has 6 cells where the header has 9."),
    ],
)  # fmt: skip
def test_a_bad_cell_is_named_by_row_column_and_reason(line: str, sentence: str) -> None:
    assert problem(line) == sentence


def test_an_id_that_stands_twice_is_a_problem_of_the_second_row() -> None:
    reading = read("g1,2026-03-02,gift,5.00,,,,,", "g1,2026-03-03,gift,6.00,,,,,")
    assert [row.row for row in reading.rows] == [2]
    assert reading.problems[0].sentence == "Row 3, column “Id”: “g1” already stands in row 2."


def test_a_declined_card_moves_no_money() -> None:
    reading = read("g1,2026-03-02,declined,5.00,,,,,", "g2,2026-03-02,gift,5.00,,,,,")
    assert reading.skipped == [(2, "no money moved")]
    assert [row.ref for row in reading.rows] == ["g2"]


def test_every_row_counts_until_the_last_even_when_the_first_is_bad() -> None:
    reading = read("g1,x,gift,5.00,,,,,", "g2,2026-03-02,gift,y,,,,,")
    assert [found.column for found in reading.problems] == ["Day", "Sum"]


def test_an_unknown_column_is_refused_by_name() -> None:
    caught = refusal(f"{HEADER},Tip\ng1,2026-03-02,gift,5.00,,,,,,1.00".encode())
    assert "The layout does not know the column “Tip”." in caught.details


def test_a_missing_column_is_refused_by_name() -> None:
    caught = refusal(b"Id,Day,Kind,Sum,Share,Net,For,Who\n")
    assert caught.details[0] == "The column “Card” is missing."


def test_a_column_that_stands_twice_is_refused() -> None:
    assert "The column “Sum” stands twice." in refusal(f"{HEADER},Sum\n".encode()).details


def test_an_ignored_column_may_come_or_not() -> None:
    assert read("g1,2026-03-02,gift,5.00,,,,,,Larkwater", header=f"{HEADER},Town").rows[0].ref == "g1"


def test_bytes_of_another_encoding_are_refused_with_their_row() -> None:
    caught = refusal(HEADER.encode() + b"\ng1,2026-03-02,gift,5.00,,,,,Ren\xe9")
    assert caught.sentence.startswith("The file is not utf-8 text: row 2 holds a byte that cannot be read.")


def test_the_layout_may_name_another_encoding() -> None:
    data = HEADER.encode() + b"\ng1,2026-03-02,gift,5.00,,,,,Ren\xe9"
    assert read_file(data, replace(LAYOUT, encoding="cp1252"), today=TODAY).rows[0].name == "René"


@pytest.mark.parametrize("data", [b"", b"  \n \n"])
def test_an_empty_file_is_refused(data: bytes) -> None:
    assert refusal(data).sentence == "The file is empty."


def test_a_program_that_is_called_a_csv_is_refused() -> None:
    assert refusal(b"MZ\0\0\1").sentence == "The file is not a text file. Export it from the platform as CSV."


def test_a_file_over_ten_megabytes_is_refused_before_it_is_read() -> None:
    caught = refusal(b"x" * (50 * 1024 * 1024))
    assert caught.sentence.startswith("The file is 50.0 MB; a payout file is read up to 10 MB.")
    assert MAX_BYTES == 10 * 1024 * 1024


def test_a_quote_that_never_closes_is_refused() -> None:
    assert refusal(f'{HEADER}\ng1,2026-03-02,gift,5.00,,,,,"Ada'.encode()).sentence.startswith(
        "The file breaks off"
    )


def test_a_header_alone_is_refused() -> None:
    assert refusal(HEADER.encode()).sentence == "The file has a header but no row that moved money."


def test_semicolons_decimal_commas_and_days_first() -> None:
    layout = replace(LAYOUT, delimiter=";", decimal_mark=",", date_order="DMY")
    row = read("g1;02.03.2026;gift;1.025,50;;;;;", layout=layout, header=HEADER.replace(",", ";")).rows[0]
    assert (row.amount, row.on) == (Money(102550), date(2026, 3, 2))


def test_movements_of_a_balance_turn_refunds_and_payouts_around() -> None:
    layout = replace(LAYOUT, signs="balance")
    reading = read("r1,2026-03-02,back,-3.00,,,,,", "p1,2026-03-02,to bank,-9.00,,,,,", layout=layout)
    assert [str(row.amount) for row in reading.rows] == ["3.00", "9.00"]
    assert (
        problem("r1,2026-03-02,back,3.00,,,,,", layout)
        == "Row 2, column “Sum”: A refund must be negative here, not 3.00."
    )


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("2026-3-2", "YMD", date(2026, 3, 2)),
        ("2026-03-02T23:59:00Z", "YMD", date(2026, 3, 2)),
        ("03/02/2026 11:05 PM", "MDY", date(2026, 3, 2)),
        ("3/2/26", "MDY", None),
        ("2026-03", "YMD", None),
        ("13/01/2026", "MDY", None),
        ("", "YMD", None),
    ],
)
def test_days_are_read_in_the_order_of_the_layout(text: str, order: str, day: date | None) -> None:
    assert parse_day(text, order) == day
