"""CSV statements by a saved layout: columns, signs, order of dates, decimal mark, balances."""

from datetime import date
from typing import Any

import pytest

from fund.access.models import Person
from fund.bank.actions_import import import_statement
from fund.bank.actions_layouts import save_layout
from fund.bank.queries_reconciling import bank_balance
from fund.bank.rules_csv import MARKED, SIGNED, TWO_COLUMNS, CsvSpec, check_spec, read_csv
from fund.money import Money
from fund.refusal import BadInput, NotAllowed, NotReady
from tests.fund.bank.acts import stored

PLAIN = CsvSpec("plain", {"date": "Day", "amount": "Moved", "name": "Who", "balance": "Then"})


def spec(**changes: Any) -> CsvSpec:
    words = {name: getattr(PLAIN, name) for name in CsvSpec.__dataclass_fields__}
    return CsvSpec(**{**words, **changes})


def test_signed_amounts_with_their_balances() -> None:
    data = b"Day,Moved,Who,Then\n2026-03-02,184.00,Ada Moss,284.00\n2026-03-05,-60.00,Hall,224.00\n"
    (sheet,) = read_csv(data, PLAIN)
    assert [(row.on.day, str(row.amount), row.name) for row in sheet.rows] == [
        (2, "184.00", "Ada Moss"),
        (5, "-60.00", "Hall"),
    ]
    assert (str(sheet.opening), str(sheet.closing), sheet.closing_on) == (
        "100.00",
        "224.00",
        date(2026, 3, 5),
    )


def test_two_columns_day_first_and_a_decimal_comma_from_new_to_old() -> None:
    layout = CsvSpec("zwei", {"date": "Tag", "amount": "Ein", "out": "Aus", "balance": "Stand"}, signs=TWO_COLUMNS,
                     date_order="DMY", decimal_mark=",", delimiter=";", encoding="latin-1", lines_before=2)  # fmt: skip
    text = (
        "Konto 44\nM\u00e4rz\nTag;Ein;Aus;Stand\n05.03.2026;;60,00;1.224,00\n02.03.2026;1.184,00;;1.284,00\n"
    )
    (sheet,) = read_csv(text.encode("latin-1"), layout)
    assert [(row.on.day, str(row.amount)) for row in sheet.rows] == [(2, "1,184.00"), (5, "-60.00")]
    assert str(sheet.opening) == "100.00"


def test_a_mark_says_which_way_it_went() -> None:
    layout = CsvSpec(
        "mark",
        {"date": "Day", "amount": "Sum", "mark": "D/C"},
        signs=MARKED,
        out_words=("D",),
        date_order="MDY",
    )
    (sheet,) = read_csv(b"Day,Sum,D/C\n03/02/2026,184.00,C\n03/05/26,60.00,d\n", layout)
    assert [str(row.amount) for row in sheet.rows] == ["184.00", "-60.00"]
    assert (sheet.opening, sheet.closing) == (None, None)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"Day,Moved,Who,Then\n2026-03-02,184.00,Ada,284.00\n2026-03-05,-60.00,Hall,225.00\n",
         "should be 224.00, the file says 225.00: 1.00 apart"),
        (b"Day,Moved,Who,Then\n2026-03-02,184.00\n", "breaks off in row 2: 2 of 4 columns"),
        (b"Day,Moved,Who,Then\n03/02/2026,184.00,Ada,284.00\n", "Row 2: .* is not a date in the order year, month, day"),
        (b"Day,Moved,Who,Then\n2026-03-02,18x,Ada,284.00\n", "Row 2: .* is not an amount"),
        (b"Day,Moved,Who\n2026-03-02,1.00,Ada\n", "columns of the file are not those"),
        (b"Day,Moved,Who,Then\n", "header and no lines"),
        (b'Day,Moved,Who,Then\n2026-03-02,1.00,"Ada', "breaks off near line 2"),
        ("Day,Moved,Who,Then\n2026-03-02,1.00,Zo\u00eb,1.00\n".encode("latin-1"), "row 2 holds a byte that cannot be read"),
    ],
)  # fmt: skip
def test_what_the_layout_cannot_read_is_refused_with_its_row(data: bytes, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        read_csv(data, PLAIN)


def test_two_columns_must_not_both_be_filled() -> None:
    layout = CsvSpec("two", {"date": "Day", "amount": "In", "out": "Out"}, signs=TWO_COLUMNS)
    for row in ("2026-03-02,1.00,1.00", "2026-03-02,,"):
        with pytest.raises(BadInput, match="Row 2: exactly one of money in and money out"):
            read_csv(f"Day,In,Out\n{row}\n".encode(), layout)
    (sheet,) = read_csv(b"Day,In,Out\n2026-03-02,0.00,5.00\n", layout)
    assert str(sheet.rows[0].amount) == "-5.00"


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"columns": {"date": "Day"}}, "Name the column that holds: Amount."),
        ({"columns": {"date": "Day", "amount": "Day"}}, "The column “Day” is named twice."),
        ({"signs": TWO_COLUMNS}, "Name the column that holds: Money out (with two columns)."),
        ({"signs": MARKED, "columns": {"date": "D", "amount": "A", "mark": "M"}},
         "Say which words mean money out, for example: D, Debit."),
        ({"decimal_mark": ","}, "The decimal mark and the delimiter cannot both be a comma."),
        ({"encoding": "klingon"}, "“klingon” is not an encoding."),
        ({"date_order": "XYZ"}, "“XYZ” is not one of the choices."),
        ({"lines_before": 200}, "At most 100 lines may stand before the header."),
    ],
)  # fmt: skip
def test_a_layout_that_could_not_read_is_not_saved(changes: dict[str, Any], reason: str) -> None:
    with pytest.raises(BadInput) as refused:
        check_spec(spec(**changes))
    assert reason in refused.value.details


@pytest.mark.django_db
def test_a_saved_layout_reads_and_is_replaced_by_its_name(treasurer: Person, owner: Person) -> None:
    with pytest.raises(NotAllowed):
        save_layout(by=owner, spec=PLAIN)
    save_layout(by=treasurer, spec=PLAIN)
    layout = save_layout(by=treasurer, spec=spec(signs=SIGNED))
    data = b"Day,Moved,Who,Then\n2026-03-02,184.00,Ada Moss,284.00\n2026-03-05,-60.00,Hall,224.00\n"
    done = import_statement(by=treasurer, data=data, filename="march.csv", layout=layout)
    assert (done.new, stored()) == (2, [("03-02", "184.00", "Ada Moss"), ("03-05", "-60.00", "Hall")])
    more = data + b"2026-03-06,-1.00,Stamps,223.00\n"
    assert import_statement(by=treasurer, data=more, filename="more.csv", layout=layout).sentence == (
        "1 new line, 2 were here before."
    )


@pytest.mark.django_db
def test_a_csv_without_balances_needs_the_first_one_typed(treasurer: Person) -> None:
    layout = save_layout(by=treasurer, spec=CsvSpec("bare", {"date": "Day", "amount": "Moved"}))
    data = b"Day,Moved\n2026-03-02,184.00\n2026-03-02,184.00\n"
    with pytest.raises(NotReady, match="Type the opening balance"):
        import_statement(by=treasurer, data=data, filename="m.csv", layout=layout)
    with pytest.raises(
        BadInput, match=r"opening 100.00 \+ lines 368.00 = 468.00, and it says closing 469.00: 1.00 apart"
    ):
        import_statement(
            by=treasurer,
            data=data,
            filename="m.csv",
            layout=layout,
            opening=Money(10_000),
            closing=Money(46_900),
        )
    import_statement(by=treasurer, data=data, filename="m.csv", layout=layout, opening=Money(10_000))
    assert (len(stored()), str(bank_balance(date(2026, 3, 2)))) == (2, "468.00")
