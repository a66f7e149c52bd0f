"""Reading statement files of every kind a bank sends, whole or not at all."""

import io
from collections.abc import Callable
from datetime import date

import pytest
from ofxtools.Parser import OFXTree

from fund.bank.rules import DELETE, REPLACE, sum_of
from fund.bank.rules_reading import MAX_BYTES, read_statement
from fund.money import Money
from fund.refusal import BadInput
from tests.fund.bank.files import BOMB, camt, ntry, ofx, ofx2, trn


def test_ofx_1_with_unclosed_values_is_read() -> None:
    data = ofx(
        [
            trn("a1", "20260302", "-34.51", "Gantry Parts &amp; Sons", kind="CHECK", check="1042"),
            trn("a2", "20260303", "+1184", "Patch Circle", kind="CREDIT", memo="T-2603"),
        ],
        "2000.00",
        "20260331",
    )
    (sheet,) = read_statement(data, None)
    first, second = sheet.rows
    assert (first.ref, first.on, str(first.amount), first.name) == (
        "a1",
        date(2026, 3, 2),
        "-34.51",
        "Gantry Parts & Sons",
    )
    assert (first.check_number, first.kind) == ("1042", "CHECK")
    assert (str(second.amount), second.text) == ("1,184.00", "T-2603")
    assert (sheet.account, sheet.currency, str(sheet.closing), sheet.closing_on) == (
        "4400914417", "USD", "2,000.00", date(2026, 3, 31),
    )  # fmt: skip


@pytest.mark.parametrize(
    "written",
    ["20260331", "20260331235959", "20260331120000.000", "20260331021529.000[-8:PST]", "20260331233000[+14:LINT]",
     "20260331000000[-3.5:NST]", "20260331120000[-6]"],
)  # fmt: skip
def test_the_day_stays_the_one_the_bank_wrote_whatever_its_zone(written: str) -> None:
    (sheet,) = read_statement(ofx([trn("a1", written, "1.00")], "1.00", "20260331"), None)
    assert sheet.rows[0].on == date(2026, 3, 31)


def test_our_reading_agrees_with_a_general_library() -> None:
    """ofxtools reads the same elements; its own dates would be shifted, so its texts are compared."""
    data = ofx(
        [trn(f"a{n}", f"202603{n + 1:02}", f"{n}.{n:02}", f"Giver {n}") for n in range(1, 20)],
        "5.00",
        "20260331",
    )
    tree = OFXTree().parse(io.BytesIO(data))
    theirs = [
        (row.findtext("FITID"), row.findtext("TRNAMT"), row.findtext("NAME")) for row in tree.iter("STMTTRN")
    ]
    (sheet,) = read_statement(data, None)
    assert [(row.ref, str(row.amount), row.name) for row in sheet.rows] == theirs


def test_ofx_2_is_read_as_xml() -> None:
    (sheet,) = read_statement(
        ofx2([("x1", "20260302120000", "-9.00", "Caf\u00e9 &amp; Co")], "91.00", "20260331"), None
    )
    assert [(row.ref, str(row.amount), row.name) for row in sheet.rows] == [("x1", "-9.00", "Caf\u00e9 & Co")]
    assert str(sheet.closing) == "91.00"


@pytest.mark.parametrize("charset", ["ISO-8859-1", "1252"])
def test_latin_1_names_are_read(charset: str) -> None:
    (sheet,) = read_statement(
        ofx([trn("a1", "20260302", "5.00", "Zo\u00eb Gr\u00f6ning")], "5.00", "20260331", charset=charset),
        None,
    )
    assert sheet.rows[0].name == "Zo\u00eb Gr\u00f6ning"


def test_a_correction_names_the_line_it_corrects() -> None:
    rows = [
        trn("a1", "20260302", "5.00"),
        trn("a2", "20260303", "6.00", more="\n<CORRECTFITID>a1\n<CORRECTACTION>REPLACE"),
        trn("a3", "20260304", "6.00", more="\n<CORRECTFITID>a2\n<CORRECTACTION>DELETE"),
    ]
    (sheet,) = read_statement(ofx(rows, "5.00", "20260331"), None)
    assert [(row.corrects, row.correction) for row in sheet.rows] == [
        ("", ""),
        ("a1", REPLACE),
        ("a2", DELETE),
    ]


def test_a_file_cut_off_between_lines_is_refused_with_where() -> None:
    data = ofx([trn("a1", "20260302", "5.00"), trn("a2", "20260303", "6.00")], "5.00", "20260331")
    whole = data.index(b"</STMTTRN>\n") + len(b"</STMTTRN>\n")
    with pytest.raises(
        BadInput, match=r"cut off: it ends in line 21, after the transaction a1, and BANKTRANLIST of line 14"
    ):
        read_statement(data[:whole], None)


def test_a_file_cut_off_inside_a_line_is_refused_with_where() -> None:
    data = ofx([trn("a1", "20260302", "5.00"), trn("a2", "20260303", "6.00")], "5.00", "20260331")
    with pytest.raises(BadInput, match="cut off: .* STMTTRN of line 21 is never closed"):
        read_statement(data[: data.index(b"<FITID>a2") + 4], None)


def test_xml_cut_off_in_the_middle_is_refused_with_its_line() -> None:
    data = ofx2([(f"x{n}", "20260302", "1.00", "") for n in range(5)], "5.00", "20260331")
    with pytest.raises(BadInput, match="cut off: it ends in line 7"):
        read_statement(data[: data.index(b"<FITID>x3")], None)
    entries = [ntry(f"r{n}", "2026-03-02", "1.00", "CRDT") for n in range(4)]
    with pytest.raises(BadInput, match="cut off: it ends in line 5, column"):
        read_statement(camt(entries, "0.00", "4.00", "2026-03-31")[:-300], None)


@pytest.mark.parametrize("kind", ["ofx", "camt"])
def test_an_entity_bomb_is_refused_at_once(kind: str) -> None:
    if kind == "ofx":
        data = ofx2([("x1", "20260302", "1.00", "&i;")], "1.00", "20260331", before=BOMB)
    else:
        plain = camt([ntry("r1", "2026-03-02", "1.00", "CRDT", "&i;")], "0.00", "1.00", "2026-03-31")
        data = plain.replace(b"<Document", BOMB.replace("OFX", "Document", 1).encode() + b"<Document", 1)
    with pytest.raises(BadInput, match="declares entities of its own"):
        read_statement(data, None)


def test_camt_053_version_02_holds_its_sample() -> None:
    """Figures of a public converter's demo file: 12,500.00 before, 13,813.05 after, so the entries net to +1,313.05; the
    first is 1,800.00 in. The other entries are ours, made to net the same."""
    entries = [
        ntry("r1", "2026-03-02", "1800.00", "CRDT", "Spring appeal", name="Larkwater Grange Hall"),
        ntry("r2", "2026-03-03", "400.00", "DBIT", name="Gantry Parts"),
        ntry("r3", "2026-03-04", "86.95", "DBIT"),
        ntry("p1", "2026-03-04", "999.99", "CRDT", status="PDNG"),
    ]
    (sheet,) = read_statement(camt(entries, "12500.00", "13813.05", "2026-03-31"), None)
    assert str(sum_of(sheet.rows)) == "1,313.05"
    assert (str(sheet.opening), str(sheet.closing)) == ("12,500.00", "13,813.05")
    first = sheet.rows[0]
    assert (str(first.amount), first.name, first.text, first.ref) == (
        "1,800.00",
        "Larkwater Grange Hall",
        "Spring appeal",
        "r1",
    )


def test_camt_053_version_08_says_its_status_and_parties_one_level_deeper() -> None:
    entries = [
        ntry("r1", "2026-03-02", "1800.00", "CRDT", name="Anwen Pell", new=True),
        ntry("r2", "2026-03-03", "486.95", "DBIT", name="Gantry Parts", new=True),
        ntry("p1", "2026-03-04", "9.99", "CRDT", status="PDNG", new=True),
    ]
    (sheet,) = read_statement(
        camt(entries, "12500.00", "13813.05", "2026-03-31", version="08", code="OPBD"), None
    )
    assert [(row.name, str(row.amount)) for row in sheet.rows] == [
        ("Anwen Pell", "1,800.00"),
        ("Gantry Parts", "-486.95"),
    ]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"  \n", "empty"),
        (b"%PDF-1.7 ...", "PDF"),
        (b"PK\x03\x04....", "spreadsheet"),
        (b"hello", "neither OFX nor camt.053"),
        (b"x" * (MAX_BYTES + 1), "20.0 MB"),
        (camt([], "0.00", "0.00", "2026-03-31", kind="052"), "not the final statement"),
        (b"OFXHEADER:100\nDATA:OFXSGML\n", "ends before its statement begins"),
        (ofx([], "1.00", "20260331").replace(b"STMTRS", b"CCSTMTRS"), "credit card"),
        (ofx([trn("a1", "2026-03-02", "1.00")], "1.00", "20260331"), "is not a date as OFX writes it"),
        (ofx([trn("a1", "20260302", "1.0x")], "1.00", "20260331"), r"Transaction 1 \(line 15\): .* is not an amount"),
        (ofx([trn("a1", "20260302", "")], "1.00", "20260331"), "Transaction 1 .* has no TRNAMT"),
    ],
)  # fmt: skip
def test_what_is_no_whole_statement_is_refused_in_words(data: bytes, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        read_statement(data, None)


def test_ten_thousand_lines_are_read() -> None:
    data = ofx(
        [trn(f"a{n}", f"202603{n % 28 + 1:02}", "0.01", f"Giver {n}") for n in range(10_000)],
        "100.00",
        "20260331",
    )
    (sheet,) = read_statement(data, None)
    assert (len(sheet.rows), str(sum_of(sheet.rows))) == (10_000, "100.00")


def test_lines_without_an_id_keep_their_key_in_every_file_with_the_whole_day() -> None:
    twice = [trn("", "20260303", "5.00", "Jar"), trn("", "20260303", "5.00", "Jar")]
    (alone,) = read_statement(ofx(twice, "10.00", "20260331"), None)
    (among,) = read_statement(ofx([trn("", "20260302", "1.00"), *twice], "11.00", "20260331"), None)
    assert [row.ref for row in alone.rows] == [row.ref for row in among.rows[1:]]
    assert len({row.ref for row in alone.rows}) == 2
    assert alone.rows[0].amount == Money(500)


def deep_ofx(levels: int) -> bytes:
    plain = ofx2([("x1", "20260302", "1.00", "")], "1.00", "20260331")
    return plain.replace(b"<STMTRS>", b"<STMTRS>" * levels).replace(b"</STMTRS>", b"</STMTRS>" * levels)


def deep_sgml(levels: int) -> bytes:
    plain = ofx([trn("a1", "20260302", "1.00")], "1.00", "20260331")
    return plain.replace(b"<STMTRS>", b"<STMTRS>" * levels).replace(b"</STMTRS>", b"</STMTRS>" * levels)


def deep_camt(levels: int) -> bytes:
    plain = camt([ntry("r1", "2026-03-02", "1.00", "CRDT")], "0.00", "1.00", "2026-03-31")
    return plain.replace(b"</Stmt>", b"<Stmt>" * levels + b"</Stmt>" * levels + b"</Stmt>")


@pytest.mark.parametrize("levels", [100, 5_000, 50_000])
@pytest.mark.parametrize("made", [deep_ofx, deep_sgml, deep_camt])
def test_a_file_nested_deeper_than_any_statement_is_refused(
    made: Callable[[int], bytes], levels: int
) -> None:
    with pytest.raises(BadInput, match="more than 60 deep, which no bank writes"):
        read_statement(made(levels), None)


def test_only_the_statements_of_the_bank_are_taken_not_what_bears_their_name_further_down() -> None:
    (sheet,) = read_statement(deep_camt(20), None)
    assert (len(sheet.rows), str(sheet.closing)) == (1, "1.00")


@pytest.mark.parametrize("many", [1, 50_000])
def test_a_statement_without_lines_and_balances_is_refused(many: int) -> None:
    plain = camt([], "0.00", "1.00", "2026-03-31")
    begin, end = plain.index(b"<Stmt>"), plain.index(b"</Stmt>") + len(b"</Stmt>")
    words = "neither lines nor balances" if many == 1 else "holds 50000 statements; up to 400"
    with pytest.raises(BadInput, match=words):
        read_statement(plain[:begin] + b"<Stmt></Stmt>" * many + plain[end:], None)
    bare = ofx2([], "1.00", "20260331")
    balance = bare[bare.index(b"<LEDGERBAL>") : bare.index(b"</LEDGERBAL>") + len(b"</LEDGERBAL>")]
    with pytest.raises(BadInput, match="The statement in the file has neither lines nor balances"):
        read_statement(bare.replace(balance, b""), None)


def test_a_month_in_which_nothing_moved_is_a_statement() -> None:
    (sheet,) = read_statement(camt([], "5.00", "5.00", "2026-03-31"), None)
    assert (len(sheet.rows), str(sheet.closing)) == (0, "5.00")
