"""Importing a bank statement: once, whole, and only where every cent between the balances is there."""

import contextlib
from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fund import clock
from fund.access.models import Person
from fund.bank.actions_import import import_statement
from fund.bank.actions_upload import keep_upload
from fund.bank.models import BankAccount, MatchGroup, StatementFile, StatementLine
from fund.bank.queries_reconciling import bank_balance, covered_until
from fund.money import Money
from fund.refusal import BadInput, NotAllowed, NotReady, Refusal
from tests.fund.bank.acts import AFTER, bring, stored
from tests.fund.bank.files import camt, ntry, ofx, ofx2, trn

pytestmark = pytest.mark.django_db
MARCH = [
    trn("a1", "20260302", "1184.00", "Patch Circle"),
    trn("a2", "20260310", "-182.29", "Tavi Brandt"),
    trn("a3", "20260310", "-9.00", "Service charge", kind="SRVCHG"),
]
WHOLE = [
    ("03-02", "1,184.00", "Patch Circle"),
    ("03-10", "-182.29", "Tavi Brandt"),
    ("03-10", "-9.00", "Service charge"),
]


def test_the_first_statement_takes_up_the_account_and_what_lay_there_before(treasurer: Person) -> None:
    done = bring(treasurer, MARCH, "1492.71")
    assert (done.new, done.known, done.sentence) == (3, 0, "3 new lines, 0 were here before.")
    account = BankAccount.objects.get()
    assert (account.ledger_account_id, account.number, account.currency) == ("1000", "4400914417", "USD")
    opening = StatementLine.objects.get(kind="OPENING")
    assert (opening.on, str(opening.amount)) == (date(2026, 3, 1), "500.00")
    assert stored() == WHOLE
    assert str(bank_balance(date(2026, 3, 31))) == "1,492.71"


def test_the_same_file_again_stores_nothing_and_says_so(treasurer: Person) -> None:
    bring(treasurer, MARCH, "1492.71")
    again = bring(treasurer, MARCH, "1492.71", name="march (1).ofx")
    assert again.sentence == "0 new lines, 3 were here before."
    assert (StatementFile.objects.count(), stored()) == (1, WHOLE)


def test_another_download_with_the_same_lines_stores_only_what_is_new(treasurer: Person) -> None:
    bring(treasurer, MARCH[:2], "1501.71", "20260310")
    done = bring(treasurer, MARCH, "1492.71")
    assert (done.new, done.known) == (1, 2)
    assert stored() == WHOLE


def test_only_the_treasurer_imports(owner: Person, volunteer: Person) -> None:
    for person in (owner, volunteer):
        with pytest.raises(NotAllowed, match="treasurer"):
            bring(person, MARCH, "1492.71")


def test_a_statement_that_does_not_add_up_is_refused_with_the_difference(treasurer: Person) -> None:
    entries = [ntry("r1", "2026-03-02", "1800.00", "CRDT"), ntry("r2", "2026-03-03", "486.95", "DBIT")]
    with pytest.raises(
        BadInput, match=r"opening 12,500.00 \+ lines 1,313.05 = 13,813.05, .* closing 13,913.05: 100.00 apart"
    ):
        import_statement(
            by=treasurer, data=camt(entries, "12500.00", "13913.05", "2026-03-15"), filename="m.xml"
        )
    assert (StatementLine.objects.count(), StatementFile.objects.count(), BankAccount.objects.count()) == (
        0,
        0,
        0,
    )


def test_a_statement_with_a_gap_before_it_is_refused_with_the_difference(treasurer: Person) -> None:
    bring(treasurer, MARCH, "1492.71")
    april = [trn("b1", "20260402", "10.00")]
    with pytest.raises(
        BadInput, match="stored statements end at 1,492.71, this one begins at 1,500.00: 7.29 apart"
    ):
        bring(treasurer, april, "1510.00", "20260402", "april.ofx")


def test_an_older_statement_moves_the_opening_back(treasurer: Person) -> None:
    bring(treasurer, MARCH, "1492.71")
    bring(treasurer, [trn("z1", "20260210", "450.00", "Grange Hall")], "500.00", "20260228", "february.ofx")
    assert stored() == [("02-10", "450.00", "Grange Hall"), *WHOLE]
    balances = [str(bank_balance(day)) for day in (date(2026, 2, 9), date(2026, 2, 28), date(2026, 3, 31))]
    assert balances == ["50.00", "500.00", "1,492.71"]


def test_an_older_statement_that_does_not_lead_to_the_stored_opening_is_refused(treasurer: Person) -> None:
    bring(treasurer, MARCH, "1492.71")
    with pytest.raises(
        BadInput, match=r"comes to 480.00 by 2026-03-01; the stored ones begin at 500.00: 20.00 apart"
    ):
        bring(treasurer, [trn("z1", "20260210", "450.00")], "480.00", "20260228", "february.ofx")


def test_a_statement_of_another_account_or_currency_is_refused(treasurer: Person) -> None:
    bring(treasurer, MARCH, "1492.71")
    for words in ({"account": "999888777"}, {"currency": "EUR"}):
        data = ofx([trn("b1", "20260402", "10.00")], "1502.71", "20260402", **words)
        with clock.at(AFTER), pytest.raises(BadInput, match="not of the fund's account"):
            import_statement(by=treasurer, data=data, filename="b.ofx")


@pytest.mark.parametrize(
    ("day", "as_of", "sentence"),
    [
        ("20271129", "20271129", "The line of 2027-11-29 over 184.00, “Ada Moss”, has not come yet"),
        ("20260403", "20260402", "The line of 2026-04-03 over 184.00"),
        ("19900105", "20260402", "The line of 1990-01-05 over 184.00 is from before the year 2000"),
        ("20260402", "20260404", "The closing balance stands for 2026-04-04, which has not come yet"),
    ],
)
def test_a_statement_of_days_that_cannot_be_is_refused_and_nothing_of_it_is_stored(
    treasurer: Person, day: str, as_of: str, sentence: str
) -> None:
    rows = [trn("a1", "20260302", "10.00"), trn("a2", day, "184.00", "Ada Moss")]
    with pytest.raises(BadInput, match=sentence):
        bring(treasurer, rows, "194.00", as_of)
    with clock.at(AFTER), pytest.raises(BadInput, match=sentence):
        keep_upload(by=treasurer, data=ofx(rows, "194.00", as_of), filename="march.ofx")
    assert (StatementFile.objects.count(), StatementLine.objects.count(), covered_until()) == (0, 0, None)


def test_a_bank_whose_clock_is_ahead_may_close_its_balance_tomorrow(treasurer: Person) -> None:
    assert bring(treasurer, [trn("a1", "20260402", "10.00")], "10.00", "20260403").new == 1


def test_a_replaced_line_counts_with_its_new_amount_and_points_at_the_old(treasurer: Person) -> None:
    bring(treasurer, MARCH, "1492.71")
    right = trn(
        "a4", "20260402", "-18.00", "Service charge", more="\n<CORRECTFITID>a3\n<CORRECTACTION>REPLACE"
    )
    done = bring(treasurer, [right], "1483.71", "20260402", "april.ofx")
    assert (done.new, done.corrected) == (0, 1)
    row = StatementLine.objects.get(ref="a4")
    assert row.corrects is not None
    assert (row.corrects.ref, str(row.amount), str(row.effect)) == ("a3", "-18.00", "-9.00")
    assert stored() == [*WHOLE[:2], ("04-02", "-18.00", "Service charge")]
    assert str(bank_balance(date(2026, 3, 31))) == "1,492.71"


def test_a_deleted_line_counts_no_longer(treasurer: Person) -> None:
    bring(treasurer, MARCH, "1492.71")
    away = trn("a4", "20260402", "-9.00", more="\n<CORRECTFITID>a3\n<CORRECTACTION>DELETE")
    bring(treasurer, [away], "1501.71", "20260402", "april.ofx")
    assert stored() == WHOLE[:2]
    assert str(bank_balance(date(2026, 4, 2))) == "1,501.71"


def test_a_correction_in_the_same_file_is_honored_once(treasurer: Person) -> None:
    rows = [*MARCH, trn("a4", "20260311", "-18.00", more="\n<CORRECTFITID>a3\n<CORRECTACTION>REPLACE")]
    for name in ("march.ofx", "again.ofx"):
        bring(treasurer, rows, "1483.71", name=name)
    assert str(bank_balance(date(2026, 3, 31))) == "1,483.71"
    assert len(stored()) == 3


def test_a_correction_of_a_line_that_is_not_stored_waits_for_it(treasurer: Person) -> None:
    bring(treasurer, MARCH, "1492.71")
    row = trn("b1", "20260402", "-9.00", more="\n<CORRECTFITID>zz\n<CORRECTACTION>DELETE")
    with pytest.raises(NotReady, match="corrects zz, which is not stored"):
        bring(treasurer, [row], "1501.71", "20260402", "april.ofx")


def test_lines_under_new_references_are_known_again(treasurer: Person) -> None:
    """Some banks number their lines anew with each download."""
    bring(treasurer, MARCH, "1492.71")
    anew = [row.replace("<FITID>a", "<FITID>20260402-") for row in MARCH]
    done = bring(treasurer, [*anew, trn("20260402-4", "20260320", "5.00")], "1497.71", name="anew.ofx")
    assert (done.new, done.known) == (1, 3)
    assert len(stored()) == 4


def test_a_download_that_goes_on_within_a_day_adds_what_came_since(treasurer: Person) -> None:
    bring(treasurer, MARCH[:2], "1501.71", "20260310")
    done = bring(treasurer, [MARCH[2], trn("a4", "20260310", "9.00")], "1501.71", "20260310", "later.ofx")
    assert (done.new, done.known, str(bank_balance(date(2026, 3, 10)))) == (2, 0, "1,501.71")
    with pytest.raises(BadInput, match="this one begins at 1,502.71"):
        bring(treasurer, [trn("a5", "20260310", "2.00")], "1504.71", "20260310", "gap.ofx")


def test_a_reference_that_now_stands_for_another_line_is_refused(treasurer: Person) -> None:
    bring(treasurer, MARCH, "1492.71")
    with pytest.raises(BadInput) as refused:
        bring(treasurer, [trn("a1", "20260402", "7.00")], "1499.71", "20260402", "april.ofx")
    assert refused.value.details == ["a1: stored as 1,184.00 of 2026-03-02, in this file 7.00 of 2026-04-02."]


def test_a_stored_line_that_a_whole_statement_lacks_is_refused(treasurer: Person) -> None:
    bring(treasurer, MARCH, "1492.71")
    other = [MARCH[0], trn("c1", "20260310", "-191.29", "Two in one")]
    with pytest.raises(BadInput, match="2 stored lines of these days are not in this file"):
        bring(treasurer, other, "1492.71", name="other.ofx")


def test_a_file_of_several_daily_statements_is_joined_day_by_day(treasurer: Person) -> None:
    first = camt([ntry("r1", "2026-03-02", "10.00", "CRDT")], "100.00", "110.00", "2026-03-02").decode()
    second = camt([ntry("r2", "2026-03-03", "4.00", "DBIT")], "110.00", "106.00", "2026-03-03").decode()
    inner = second[second.index("<Stmt>") : second.index("</BkToCstmrStmt>")]
    data = first.replace("</BkToCstmrStmt>", inner + "</BkToCstmrStmt>").encode()
    done = import_statement(by=treasurer, data=data, filename="days.xml")
    assert (done.new, str(bank_balance(date(2026, 3, 3)))) == (2, "106.00")


def test_a_cut_off_file_and_an_entity_bomb_leave_nothing_behind(treasurer: Person) -> None:
    whole = ofx2([("x1", "20260302", "1.00", "")], "1.00", "20260331")
    for data in (whole[:-40], whole.replace(b"<OFX>", b'<!DOCTYPE OFX [<!ENTITY a "b">]><OFX>')):
        with pytest.raises(BadInput):
            import_statement(by=treasurer, data=data, filename="x.ofx")
    assert (StatementFile.objects.count(), BankAccount.objects.count(), MatchGroup.objects.count()) == (
        0,
        0,
        0,
    )


def test_progress_counts_every_line(treasurer: Person) -> None:
    rows = [trn(f"n{at}", f"202603{at % 14 + 1:02}", "0.01") for at in range(1200)]
    seen: list[int] = []
    import_statement(
        by=treasurer, data=ofx(rows, "12.00", "20260315"), filename="m.ofx", progress=seen.append
    )
    assert sum(seen) >= 1200


def test_overlapping_downloads_one_after_another_are_all_taken(treasurer: Person) -> None:
    """As a treasurer has them: each from some earlier day until now, and the month's own statement at its end."""
    rows = [(day, (day + 1) * 100, "Jar", f"id{day}") for day in range(12)]
    rows.append((5, -7_000, "", "id-5b"))
    rows.sort(key=lambda row: row[0])
    taken = []
    for first, last in ((0, 3), (2, 5), (5, 8), (4, 9), (9, 11), (0, 11)):
        taken.append(
            import_statement(by=treasurer, data=_file(rows, first, last, "ofx"), filename="piece").new
        )
    assert taken == [4, 3, 3, 1, 2, 0]
    assert len(stored()) == 13


DAYS = [date(2026, 3, 1) + timedelta(days=n) for n in range(12)]
ROWS = st.lists(
    st.tuples(
        st.sampled_from(range(12)),
        st.integers(-5_000, 5_000).filter(bool),
        st.sampled_from(["", "Jar", "Mill"]),
    ),
    min_size=1,
    max_size=25,
)
PIECES = st.lists(st.tuples(st.sampled_from(range(12)), st.sampled_from(range(12))), max_size=6)


def _file(rows: list[tuple[int, int, str, str]], first: int, last: int, kind: str) -> bytes:
    """The statement of some days; what lay there before is 100.00 and the days before them."""
    before = 10_000 + sum(amount for day, amount, _, _ in rows if day < first)
    mine = [row for row in rows if first <= row[0] <= last]
    after = Money(before + sum(amount for _, amount, _, _ in mine))
    text = f"{after}".replace(",", "")
    end = f"{DAYS[last]:%Y%m%d}"
    if kind == "ofx":
        lines = [trn(ref, f"{DAYS[day]:%Y%m%d}", f"{Money(amount)}", name) for day, amount, name, ref in mine]
        return ofx(lines, text, end)
    entries = [
        ntry(ref, f"{DAYS[day]}", f"{abs(Money(amount))}", "CRDT" if amount > 0 else "DBIT", name)
        for day, amount, name, ref in mine
    ]
    return camt(entries, f"{Money(before)}".replace(",", ""), text, f"{DAYS[last]}")


@pytest.mark.parametrize("kind", ["ofx", "camt"])
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=ROWS, pieces=PIECES, without_ids=st.booleans())
def test_any_overlapping_pieces_in_any_order_equal_the_whole_once(
    treasurer: Person,
    kind: str,
    rows: list[tuple[int, int, str]],
    pieces: list[tuple[int, int]],
    without_ids: bool,
) -> None:
    """Pieces that do not join are refused and change nothing; at the end the whole comes, twice."""
    from django.db import transaction

    rows.sort(key=lambda row: row[0])
    named = [(*row, "" if without_ids else f"id{at}") for at, row in enumerate(rows)]
    with transaction.atomic():
        for first, last in [(min(piece), max(piece)) for piece in pieces] + [(0, 11), (0, 11)]:
            data = _file(named, first, last, kind)
            with contextlib.suppress(Refusal):
                import_statement(by=treasurer, data=data, filename="piece")
        found = sorted((line.on, line.amount.minor, line.name or line.text) for line in _standing())
        assert found == sorted((DAYS[day], amount, name) for day, amount, name in rows)
        assert bank_balance(DAYS[-1]) == Money(10_000 + sum(amount for _, amount, _ in rows))
        transaction.set_rollback(True)


def _standing() -> list[StatementLine]:
    from fund.bank.queries_open import standing_lines

    return list(standing_lines().exclude(kind="OPENING"))
