"""Matching lines of the bank with entries: confirm, undo, split, post what is missing."""

from datetime import date

import pytest

from fund import clock
from fund.access.models import Person
from fund.bank.actions import Piece, confirm, confirm_all, post_missing, split, undo
from fund.bank.models import MatchGroup, MatchPart
from fund.bank.queries_open import not_yet_shown, open_items, open_lines, suggestions
from fund.commitments.queries import position
from fund.gifts.actions import add_supporter
from fund.gifts.actions_terms import settle_gift
from fund.gifts.models import Gift
from fund.ledger.actions import add_purpose, reverse
from fund.ledger.models import Entry
from fund.money import Money, parse_money
from fund.proofs import prove
from fund.refusal import AlreadyDone, BadInput, NotAllowed
from fund.repayments.actions import prepare_repayment, release_repayment
from fund.repayments.actions_checks import stop_check
from fund.repayments.models import Repayment
from fund.rulebook.queries import rule
from tests.fund.bank.acts import AFTER, bring, given, line, lines_of
from tests.fund.bank.files import trn
from tests.fund.receipts.makers import bought, fill_bank, paper
from tests.fund.receipts.makers import line as pen

pytestmark = pytest.mark.django_db


def open_amounts() -> list[str]:
    return [str(row.amount) for row in open_lines().exclude(kind="OPENING")]


def test_a_confirmed_match_takes_both_sides_out_of_what_is_open(treasurer: Person) -> None:
    entry = given(treasurer, "184.00", date(2026, 3, 2))
    bring(treasurer, [trn("a1", "20260303", "184.00", "Ada Moss")], "184.00")
    group = confirm(by=treasurer, lines=[line("184.00")], entries=[entry])
    assert (group.code, group.cleared_on, group.why) == ("M-00001", date(2026, 3, 3), "Chosen by hand.")
    assert (open_amounts(), open_items()) == ([], [])
    with pytest.raises(AlreadyDone, match="matched already"):
        confirm(by=treasurer, lines=[line("184.00")], entries=[entry])


def test_only_the_treasurer_matches(owner: Person, treasurer: Person) -> None:
    bring(treasurer, [trn("a1", "20260303", "-9.00")], "100.00")
    for act in (
        lambda: confirm(by=owner, lines=[line("-9.00")]),
        lambda: post_missing(by=owner, line=line("-9.00"), kind="charge"),
    ):
        with pytest.raises(NotAllowed):
            act()


def test_sides_that_differ_are_refused_with_a_hint(treasurer: Person) -> None:
    entry = given(treasurer, "82.00", date(2026, 3, 2))
    bring(treasurer, [trn("a1", "20260303", "28.00")], "28.00")
    with pytest.raises(BadInput, match="come to 28.00, the entries to 82.00: -54.00 apart") as refused:
        confirm(by=treasurer, lines=[line("28.00")], entries=[entry])
    assert any("82.00 and 28.00 differ by just that" in hint for hint in refused.value.details)
    assert MatchGroup.objects.count() == 0


def test_an_undone_match_leaves_its_row_and_opens_both_sides(treasurer: Person) -> None:
    entry = given(treasurer, "184.00", date(2026, 3, 2))
    bring(treasurer, [trn("a1", "20260303", "184.00")], "184.00")
    group = confirm(by=treasurer, lines=[line("184.00")], entries=[entry])
    with pytest.raises(BadInput, match="why"):
        undo(by=treasurer, group=group, reason=" ")
    undo(by=treasurer, group=group, reason="It was another transfer.")
    assert (open_amounts(), [item.number for item in open_items()]) == (["184.00"], [entry.number])
    assert (MatchGroup.objects.count(), MatchPart.objects.count()) == (1, 2)
    with pytest.raises(AlreadyDone):
        undo(by=treasurer, group=group, reason="again")
    assert confirm(by=treasurer, lines=[line("184.00")], entries=[entry]).code == "M-00002"


def test_several_suggestions_are_confirmed_together(treasurer: Person) -> None:
    for amount, day in (("10.00", 2), ("20.00", 3), ("30.00", 4)):
        given(treasurer, amount, date(2026, 3, day))
    rows = [trn("a1", "20260302", "10.00"), trn("a2", "20260303", "50.00"), trn("a3", "20260304", "-4.00")]
    bring(treasurer, rows, "56.00")
    found = suggestions()
    assert [(len(one.bank), len(one.books)) for one in found] == [(1, 1), (1, 2)]
    assert [group.way for group in confirm_all(by=treasurer, chosen=found)] == ["amount", "several"]
    assert open_amounts() == ["-4.00"]


def test_a_bank_charge_found_at_reconciliation_is_posted_from_its_line(treasurer: Person) -> None:
    bring(treasurer, [trn("a1", "20260331", "-9.00", "Service charge")], "91.00")
    group = post_missing(by=treasurer, line=line("-9.00"), kind="charge")
    entry = Entry.objects.latest("number")
    assert lines_of(entry) == [("1000", "general", None, Money(-900)), ("5310", "general", None, Money(900))]
    assert (entry.document_date, entry.posting_date, entry.text) == (
        date(2026, 3, 31), date(2026, 3, 31), "Bank charge: Service charge",
    )  # fmt: skip
    assert (group.way, open_amounts(), open_items()) == ("posted", [], [])


def test_interest_is_posted_from_its_line(treasurer: Person) -> None:
    bring(treasurer, [trn("a1", "20260331", "1.07", "Interest", kind="INT")], "101.07")
    post_missing(by=treasurer, line=line("1.07"), kind="interest", text="Interest of March")
    entry = Entry.objects.latest("number")
    assert lines_of(entry) == [("1000", "general", None, Money(107)), ("4060", "general", None, Money(-107))]
    assert entry.text == "Interest of March"


def test_an_unknown_bank_deposit_waits_in_unidentified_receipts(treasurer: Person) -> None:
    """The gifts' room keeps it, so that it can become a gift once its giver is found."""
    bring(treasurer, [trn("a1", "20260320", "75.00", "BRANCH DEPOSIT")], "175.00")
    with clock.at(AFTER):
        post_missing(by=treasurer, line=line("75.00"), kind="unidentified")
        gift = Gift.objects.get()
        assert gift.entry is not None
        assert lines_of(gift.entry) == [
            ("1000", "general", None, Money(7500)),
            ("2020", "general", None, Money(-7500)),
        ]
        assert (gift.nature, gift.terms, gift.received_on) == (
            "unidentified",
            "BRANCH DEPOSIT",
            date(2026, 3, 20),
        )
        assert (open_amounts(), open_items(), position().free_to_commit) == ([], [], -rule("reserve_floor"))
        ada = add_supporter(by=treasurer, name="Ada Moss")
        settle_gift(by=treasurer, gift=gift, on=date(2026, 4, 2), words="Ada called.", supporter=ada)
        entry = Entry.objects.latest("number")
        assert lines_of(entry) == [
            ("2020", "general", None, Money(7500)),
            ("4000", "general", None, Money(-7500)),
        ]
    assert prove().breaks == []


@pytest.mark.parametrize(
    ("kind", "words"),
    [("interest", "is money in, but -9.00 went the other way"), ("gift", "Say what the line is")],
)
def test_a_line_is_not_posted_as_what_it_cannot_be(treasurer: Person, kind: str, words: str) -> None:
    bring(treasurer, [trn("a1", "20260331", "-9.00")], "91.00")
    before = Entry.objects.count()
    with pytest.raises(BadInput, match=words):
        post_missing(by=treasurer, line=line("-9.00"), kind=kind)
    assert Entry.objects.count() == before


def test_a_line_is_split_into_an_entry_and_what_was_missing(treasurer: Person) -> None:
    """A deposit of 212.00 that the bank counted as 209.00: 3.00 short."""
    entry = given(treasurer, "212.00", date(2026, 3, 2))
    bring(treasurer, [trn("a1", "20260303", "209.00")], "209.00")
    with pytest.raises(BadInput, match="come to 209.00, the entries to 211.00"):
        split(
            by=treasurer,
            line=line("209.00"),
            pieces=[Piece("over or short", Money(-100))],
            entries=[entry],
        )
    group = split(
        by=treasurer, line=line("209.00"), pieces=[Piece("over or short", Money(-300))], entries=[entry]
    )
    entry = Entry.objects.latest("number")
    assert lines_of(entry) == [("1000", "general", None, Money(-300)), ("5320", "general", None, Money(300))]
    assert group.parts.count() == 3
    assert open_items() == []


def test_a_charge_of_a_closed_month_is_posted_now_with_its_own_date(treasurer: Person) -> None:
    from fund.ledger.actions import close_month

    given(treasurer, "100.00", date(2026, 2, 2))
    bring(treasurer, [trn("a0", "20260202", "100.00"), trn("a1", "20260227", "-9.00")], "91.00", "20260228")
    with clock.at(AFTER):
        close_month(by=treasurer, month="2026-02")
        post_missing(by=treasurer, line=line("-9.00"), kind="charge")
    entry = Entry.objects.latest("number")
    assert (entry.document_date, entry.posting_date, entry.later_change) == (
        date(2026, 2, 27),
        date(2026, 3, 1),
        True,
    )


def test_a_correction_by_the_bank_opens_the_match_of_the_old_line(treasurer: Person) -> None:
    entry = given(treasurer, "184.00", date(2026, 3, 2))
    bring(treasurer, [trn("a1", "20260303", "184.00")], "184.00")
    group = confirm(by=treasurer, lines=[line("184.00")], entries=[entry])
    right = trn("a2", "20260402", "148.00", more="\n<CORRECTFITID>a1\n<CORRECTACTION>REPLACE")
    bring(treasurer, [right], "148.00", "20260402", "april.ofx")
    group.refresh_from_db()
    assert group.undone.reason == "The bank corrected the line of 2026-03-03 over 184.00."
    assert (open_amounts(), [str(item.amount) for item in open_items()]) == (["148.00"], ["184.00"])


def test_an_entry_and_its_reversal_are_nothing_to_match(treasurer: Person) -> None:
    entry = given(treasurer, "184.00", date(2026, 3, 2))
    reverse(by=treasurer, entry=entry, reason="typed twice")
    assert open_items() == []


def test_money_the_bank_has_not_shown_is_told_by_purpose(treasurer: Person) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires")
    entry = given(treasurer, "184.00", date(2026, 3, 2))
    assert not_yet_shown(AFTER) is None
    bring(treasurer, [trn("a1", "20260305", "184.00")], "184.00")
    assert not_yet_shown(AFTER) == {"general": parse_money("184.00")}
    confirm(by=treasurer, lines=[line("184.00")], entries=[entry])
    assert not_yet_shown(AFTER) == {}
    assert not_yet_shown(date(2026, 3, 4)) == {"general": parse_money("184.00")}


def paid_by_check(treasurer: Person, owner: Person, volunteer: Person) -> Repayment:
    fill_bank(treasurer, "500.00")
    receipt = bought(
        volunteer, paper(volunteer, "86.60", "0.00", pen("gloves", "86.60", "supplies"), number="8")
    )
    on = date(2026, 3, 10)
    prepared = prepare_repayment(
        papers_seen=True,
        by=treasurer,
        person=volunteer,
        receipts=[receipt],
        on=on,
        way="check",
        check_number="301",
    )
    return release_repayment(by=owner, repayment=prepared, on=on)


def test_a_check_stopped_before_the_bank_saw_it_cancels_itself(
    treasurer: Person, owner: Person, volunteer: Person
) -> None:
    paid = paid_by_check(treasurer, owner, volunteer)
    bring(treasurer, [trn("a1", "20260311", "-1.00", "Card")], "99.00", "20260312")
    stop_check(by=treasurer, repayment=paid, on=date(2026, 3, 14), reason="lost in the mail")
    assert sorted(str(item.amount) for item in open_items()) == ["-86.60", "500.00", "86.60"]
    (one,) = [found for found in suggestions() if not found.bank]
    assert one.why == f"{paid.code} was booked and taken back, and the bank never saw it: together 0.00."
    group = confirm_all(by=treasurer, chosen=[one])[0]
    assert group.cleared_on == date(2026, 3, 14)
    assert [str(item.amount) for item in open_items()] == ["500.00"]


def test_the_charge_for_stopping_a_check_is_what_is_left_of_it(
    treasurer: Person, owner: Person, volunteer: Person
) -> None:
    paid = paid_by_check(treasurer, owner, volunteer)
    stop_check(by=treasurer, repayment=paid, on=date(2026, 3, 14), reason="lost", bank_fee=Money(30_00))
    bring(treasurer, [trn("a1", "20260314", "-30.00", "STOP PAYMENT FEE")], "70.00", "20260315")
    (one,) = [found for found in suggestions() if len(found.books) == 2]
    assert one.why == f"{paid.code} was booked and taken back; what is left of it is this line."
    confirm_all(by=treasurer, chosen=[one])
    assert open_amounts() == []
    assert [str(item.amount) for item in open_items()] == ["500.00"]
