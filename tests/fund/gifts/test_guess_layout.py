"""What an unknown payout file probably holds: by its headers, and by its cells where they say more."""

import pytest

from fund.gifts.rules_guess import Guess, guess, guessed_words, read_sample, words_of
from fund.gifts.rules_layout import BALANCE, PLAIN
from fund.refusal import BadInput
from tests.fund.gifts.files import kettle_file, patch_file, pledge, sent_back, taken, to_bank, transfer
from tests.fund.gifts.unknown import FOREIGN, MILLPOND, many_rows

PATCH = patch_file(
    *(
        pledge(
            f"ch{n}", f"03/{n + 13}/2026", "25.00", "2.00", "1.03", Member=f"Ada Moss {n}",
            **{"Member No": f"m{n}", "Mail": f"a{n}@example.org", "Left After Fees": "21.97", "Keep Private": "yes"},
        )
        for n in range(9)
    ),
    sent_back("rf1", "03/25/2026", "25.00", of="ch2"),
    transfer("T1", "03/29/2026", "172.73"),
)  # fmt: skip


def told(data: bytes) -> tuple[dict[str, str], Guess]:
    """Header to what it was guessed to hold; fees as ``fee:kind``, nothing left out."""
    sample = read_sample(data)
    made = guess(sample)
    fees = {sample.header[index]: f"fee:{kind}" for index, kind in made.fees.items()}
    return {sample.header[index]: what for index, what in made.columns.items()} | fees, made


def kinds(data: bytes) -> dict[str, str]:
    sample = read_sample(data)
    index = next(index for index, what in guess(sample).columns.items() if what == "type")
    return guessed_words(words_of(sample, index))


def test_a_membership_platforms_file_is_guessed_whole() -> None:
    columns, made = told(PATCH)
    assert columns == {
        "Charge No": "ref",
        "Charged On": "date",
        "What": "type",
        "Pledge Paid": "amount",
        "Platform Share": "fee:platform",
        "Card Cost": "fee:processing",
        "Left After Fees": "net",
        "Transfer No": "payout",
        "Of Charge": "gift_ref",
        "Member No": "supporter_id",
        "Member": "name",
        "Mail": "email",
        "Keep Private": "hidden",
    }
    assert (made.date_order, made.decimal_mark, made.signs, made.hidden_words) == (
        "MDY",
        ".",
        PLAIN,
        ("yes",),
    )
    assert kinds(PATCH) == {"Pledge": "gift", "Pledge sent back": "refund", "Transfer": "payout"}


def test_a_card_processors_file_is_guessed_whole() -> None:
    rows = [
        taken(f"k{n}", f"2026-03-0{n + 1}T10:00:00", "40.00", "1.46", card_name=f"Bo Finch {n}")
        for n in range(5)
    ]
    data = kettle_file(*rows, to_bank("P1", "2026-03-29", "192.70"))
    columns, made = told(data)
    assert columns["processor_fee"] == "fee:processing"
    assert {columns[name] for name in ("id", "day", "movement", "amount", "payout_id", "card_name")} == {
        "ref", "date", "type", "amount", "payout", "name"
    }  # fmt: skip
    assert made.date_order == "YMD"
    assert kinds(data) == {"gift taken": "gift", "to bank": "payout"}


def test_amounts_out_below_zero_are_seen_and_an_unknown_word_is_left_to_the_person() -> None:
    columns, made = told(MILLPOND)
    assert made.signs == BALANCE
    assert (columns["Giver"], columns["Giver email"], columns["Designation"]) == ("name", "email", "purpose")
    assert (columns["Net"], columns["Payment fee"], columns["Hosting"]) == (
        "net",
        "fee:processing",
        "fee:platform",
    )
    assert "Device" not in columns
    assert kinds(MILLPOND) == {"contribution": "gift", "refund": "refund", "sweep": ""}


def test_where_no_header_says_anything_the_cells_do() -> None:
    columns, made = told(FOREIGN)
    assert columns == {
        "Buchung": "ref", "Wann": "date", "Was": "type", "Brutto": "amount", "Name": "name", "E-Post": "email"
    }  # fmt: skip
    assert (made.date_order, made.decimal_mark) == ("DMY", ",")
    assert (read_sample(FOREIGN).encoding, read_sample(FOREIGN).delimiter) == ("cp1252", ";")
    assert kinds(FOREIGN) == {"Gabe": "gift", "Sammelgang": ""}


def test_a_payout_at_the_end_of_a_long_file_is_seen() -> None:
    data = many_rows(2000)
    assert told(data)[1].signs == BALANCE
    assert kinds(data) == {"contribution": "gift", "sweep": ""}


def test_ids_of_other_rows_are_the_gift_of_a_refund_whatever_the_header_says() -> None:
    data = b"Id,Day,Kind,Amount,Remark\na1,2026-03-01,gift,5.00,\na2,2026-03-02,gift,6.00,\na3,2026-03-03,refund,5.00,a1\n"
    assert told(data)[0]["Remark"] == "gift_ref"


def test_a_day_above_twelve_says_what_order_dates_have() -> None:
    for cell, order in (("13/03/2026", "DMY"), ("03/13/2026", "MDY"), ("2026-03-13", "YMD")):
        data = f"Id,Day,Kind,Amount\na1,{cell},gift,5.00\na2,{cell},payout,5.00\n".encode()
        assert told(data)[1].date_order == order


@pytest.mark.parametrize(
    ("row", "order"),
    [
        ("a{n};03.11.2026;gift;5,00", "DMY"),
        ("a{n};03.11.2026 10:15;gift;5.00", "DMY"),
        ("a{n};03/11/2026;gift;5,00", "DMY"),
        ("a{n};03/11/2026;gift;5.00", "MDY"),
        ("a{n};03.13.2026;gift;5.00", "MDY"),
    ],
)
def test_where_day_and_month_look_alike_points_and_decimal_commas_put_the_day_first(
    row: str, order: str
) -> None:
    data = "\n".join(["Id;Day;Kind;Amount", *(row.format(n=n) for n in range(4))]).encode()
    assert told(data)[1].date_order == order


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "The file is empty."),
        (b"%PDF-1.7 \x00\x01", "The file is not a text file."),
        (b"only one column\n1\n2\n", "The file is not a table of cells."),
        (b"Id,Day\n", "has a header but no row under it"),
        (b"Id,Id\n1,2\n", "A column has no header, or two have the same."),
    ],
)
def test_what_is_no_table_is_refused_in_words(data: bytes, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        read_sample(data)
