"""A month reconciled to 0.00 by one person and reviewed by another."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from pypdf import PdfReader

from fund import clock
from fund.access.models import Person
from fund.bank.actions import confirm, confirm_all, post_missing, undo
from fund.bank.actions_platforms import set_platform_balance
from fund.bank.actions_reconcile import reconcile, review
from fund.bank.models import MatchGroup, PlatformBalance, Reconciliation, ReconciliationReview
from fund.bank.queries_open import suggestions
from fund.bank.queries_reconciling import month_state, reckon
from fund.bank.rules_reconciling import thawed
from fund.gifts.models import Platform
from fund.ledger import chart
from fund.ledger.actions import close_month
from fund.ledger.actions_hand import post_by_hand
from fund.ledger.models import Entry
from fund.ledger.rules import cr, dr
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady, TwoPeopleNeeded
from tests.fund.bank.acts import AFTER, bring, given, line
from tests.fund.bank.files import trn

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _media(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path


def paid(by: Person, amount: int, on: date, text: str) -> Entry:
    with clock.at(on):
        return post_by_hand(
            by=by, day=on, text=text, lines=[dr(chart.ADMIN, Money(amount)), cr(chart.BANK, Money(amount))]
        )


@pytest.fixture
def march(treasurer: Person) -> None:
    """In the books 900.00 - 60.00 - 45.00 + 80.00 = 875.00; the bank shows 900.00 - 60.00 - 9.00 = 831.00: the check over
    45.00 is outstanding, the 80.00 of the 15th in transit, and the charge of 9.00 is in no book."""
    given(treasurer, "900.00", date(2026, 3, 2))
    paid(treasurer, 6000, date(2026, 3, 4), "Review of the books")
    paid(treasurer, 4500, date(2026, 3, 10), "Check 1042 to the hall")
    given(treasurer, "80.00", date(2026, 3, 15), "Anwen Pell")
    rows = [
        trn("a1", "20260303", "900.00"),
        trn("a2", "20260305", "-60.00"),
        trn("a3", "20260331", "-9.00", "Service charge"),
    ]
    bring(treasurer, rows, "831.00")


def settle(by: Person) -> None:
    with clock.at(AFTER):
        confirm_all(by=by, chosen=suggestions())
        post_missing(by=by, line=line("-9.00"), kind="charge")


def prepare(by: Person, **words: Any) -> Reconciliation:
    with clock.at(AFTER):
        return reconcile(by=by, month="2026-03", **words)


@pytest.mark.usefixtures("march")
def test_a_month_comes_to_nothing_unexplained(treasurer: Person) -> None:
    settle(treasurer)
    found = prepare(treasurer, statement_balance=Money(83_100))
    sheet = thawed(found.snapshot)
    assert (str(sheet.statement), str(sheet.books)) == ("831.00", "866.00")
    assert [(item.label, str(item.amount), item.age) for item in sheet.outstanding] == [
        ("Check 1042 to the hall", "-45.00", 21)
    ]
    assert [(str(item.amount), item.age) for item in sheet.in_transit] == [("80.00", 16)]
    assert (str(sheet.bank_side), str(sheet.book_side), str(sheet.difference)) == ("866.00", "866.00", "0.00")


@pytest.mark.usefixtures("march")
def test_a_line_nobody_matched_stops_it(treasurer: Person) -> None:
    with clock.at(AFTER):
        confirm_all(by=treasurer, chosen=suggestions())
    with pytest.raises(NotReady, match="1 line of the bank is not matched yet; together -9.00") as refused:
        prepare(treasurer)
    assert refused.value.details == ["2026-03-31 -9.00 Service charge"]
    assert Reconciliation.objects.count() == 0


@pytest.mark.usefixtures("march")
def test_another_closing_balance_is_refused_with_the_difference_and_hints(treasurer: Person) -> None:
    settle(treasurer)
    with pytest.raises(
        BadInput, match="says 813.00, the stored lines come to 831.00: -18.00 apart"
    ) as refused:
        prepare(treasurer, statement_balance=Money(81_300))
    assert "divisible by 9" in refused.value.details[0]


@pytest.mark.usefixtures("march")
def test_the_preparer_never_reviews_and_neither_does_a_volunteer(
    treasurer: Person, owner: Person, volunteer: Person
) -> None:
    settle(treasurer)
    found = prepare(treasurer)
    treasurer.groups.add(*owner.groups.all())
    del treasurer._roles  # type: ignore[attr-defined]
    with pytest.raises(TwoPeopleNeeded):
        review(by=treasurer, reconciliation=found)
    with pytest.raises(NotAllowed, match="owner or accountant"):
        review(by=volunteer, reconciliation=found)
    done = review(by=owner, reconciliation=found)
    with pytest.raises(IntegrityError), transaction.atomic():
        ReconciliationReview.objects.create(
            reconciliation=prepare_again(treasurer),
            prepared_by=treasurer,
            reviewed_by=treasurer,
            reviewed_at=AFTER_MOMENT,
            pdf=done.pdf,
        )


AFTER_MOMENT = clock.now()


def prepare_again(by: Person) -> Reconciliation:
    paid(by, 100, date(2026, 3, 15), "Stamps")
    return prepare(by)


@pytest.mark.usefixtures("march")
def test_the_review_keeps_a_pdf_with_both_names(treasurer: Person, accountant: Person, settings: Any) -> None:
    settle(treasurer)
    found = prepare(treasurer)
    with clock.at(AFTER):
        done = review(by=accountant, reconciliation=found, note="Seen with the statement.")
        with pytest.raises(AlreadyDone):
            review(by=accountant, reconciliation=found)
    assert (done.pdf.subject, done.pdf.power, done.pdf.kind) == ("2026-03", "bank.see", "pdf")
    text = "".join(page.extract_text() for page in PdfReader(Path(settings.MEDIA_ROOT) / done.pdf.path).pages)
    for words in (
        "Odell Price",
        "Petra Lindqvist",
        "831.00",
        "866.00",
        "Check 1042 to the hall",
        "Seen with the statement.",
    ):
        assert words in text
    with pytest.raises(AlreadyDone, match="reconciled and reviewed"):
        prepare(treasurer)


@pytest.mark.usefixtures("march")
def test_what_changes_afterwards_asks_for_a_new_one(treasurer: Person, owner: Person) -> None:
    settle(treasurer)
    found = prepare(treasurer)
    assert month_state("2026-03").true
    paid(treasurer, 500, date(2026, 3, 15), "Stamps")
    assert not month_state("2026-03").true
    with pytest.raises(NotReady, match="Odell Price prepare it anew"):
        review(by=owner, reconciliation=found)
    again = prepare(treasurer)
    with pytest.raises(AlreadyDone, match="newer"):
        review(by=owner, reconciliation=found)
    review(by=owner, reconciliation=again)
    state = month_state("2026-03")
    assert state.true and state.reviewed


@pytest.mark.usefixtures("march")
def test_a_mistake_of_the_bank_stands_on_the_banks_side_with_a_word(treasurer: Person) -> None:
    with clock.at(AFTER):
        confirm_all(by=treasurer, chosen=suggestions())
    found = prepare(
        treasurer, bank_errors={line("-9.00").pk: "Not our charge; the bank was told on April 1."}
    )
    sheet = thawed(found.snapshot)
    assert [(str(item.amount), item.note) for item in sheet.bank_errors] == [
        ("9.00", "Not our charge; the bank was told on April 1.")
    ]
    assert (str(sheet.bank_side), str(sheet.difference)) == ("875.00", "0.00")
    assert month_state("2026-03").true


def test_a_check_uncashed_after_120_days_needs_a_word_and_gets_advice(treasurer: Person) -> None:
    with clock.at(date(2025, 11, 30)):
        given(treasurer, "500.00", date(2025, 11, 30))
    paid(treasurer, 16_129, date(2025, 12, 1), "Check 1007 to Tavi Brandt")
    bring(treasurer, [trn("a1", "20251130", "500.00"), trn("a2", "20260331", "1.00", "Interest")], "501.00")
    with clock.at(AFTER):
        confirm_all(by=treasurer, chosen=suggestions())
        post_missing(by=treasurer, line=line("1.00"), kind="interest")
    with pytest.raises(NotReady, match="older than 30 days") as refused:
        prepare(treasurer)
    assert refused.value.details == ["Check 1007 to Tavi Brandt of 2025-12-01, -161.29, 120 days."]
    (item,) = reckon("2026-03").reckoning.outstanding
    assert "have the bank stop it" in item.advice and "unclaimed property" in item.advice
    found = prepare(treasurer, notes={item.key: "Tavi lost it; stopped on April 1, new check follows."})
    assert thawed(found.snapshot).outstanding[0].note.startswith("Tavi lost it")


def test_a_match_that_reaches_over_the_months_end_counts_on_its_side(treasurer: Person) -> None:
    """Returned check and fee are one entry of the 31st; the bank shows the fee on April 1."""
    given(treasurer, "500.00", date(2026, 3, 2))
    with clock.at(AFTER):
        entry = paid(treasurer, 6200, date(2026, 3, 31), "Check 214 returned by the bank")
    rows = [trn("a1", "20260302", "500.00"), trn("a2", "20260331", "-50.00"), trn("a3", "20260401", "-12.00")]
    bring(treasurer, rows, "438.00", "20260401")
    with clock.at(AFTER):
        confirm(by=treasurer, lines=[line("-50.00"), line("-12.00")], entries=[entry])
        confirm_all(by=treasurer, chosen=suggestions())
    sheet = reckon("2026-03").reckoning
    assert (str(sheet.statement), str(sheet.books)) == ("450.00", "438.00")
    assert [(item.label, str(item.amount)) for item in sheet.outstanding] == [
        ("Check 214 returned by the bank", "-12.00")
    ]
    assert not sheet.difference


def test_a_line_booked_in_the_next_month_is_shown_as_only_at_the_bank(treasurer: Person) -> None:
    with clock.at(date(2026, 2, 2)):
        given(treasurer, "100.00", date(2026, 2, 2))
    rows = [trn("a0", "20260202", "100.00"), trn("a1", "20260227", "-9.00", "Service charge")]
    bring(treasurer, rows, "91.00", "20260228")
    with clock.at(AFTER):
        close_month(by=treasurer, month="2026-02")
        confirm_all(by=treasurer, chosen=suggestions())
        post_missing(by=treasurer, line=line("-9.00"), kind="charge")
        found = reconcile(by=treasurer, month="2026-02")
    sheet = thawed(found.snapshot)
    assert [(item.label, str(item.amount)) for item in sheet.only_bank] == [
        ("Service charge, booked later", "-9.00")
    ]
    assert (str(sheet.bank_side), str(sheet.difference)) == ("91.00", "0.00")


@pytest.mark.usefixtures("march")
def test_a_match_of_a_reviewed_and_closed_month_stays(treasurer: Person, owner: Person) -> None:
    settle(treasurer)
    found = prepare(treasurer)
    with clock.at(AFTER):
        review(by=owner, reconciliation=found)
        close_month(by=treasurer, month="2026-03")
    with pytest.raises(NotReady, match="reviewed reconciliation of 2026-03, and that month is closed"):
        undo(
            by=treasurer, group=MatchGroup.objects.filter(cleared_on__month=3).earliest("pk"), reason="wrong"
        )


def test_nothing_is_reconciled_without_a_statement_or_before_the_months_end(treasurer: Person) -> None:
    given(treasurer, "100.00", date(2026, 3, 2))
    with pytest.raises(NotReady, match="No statement"):
        prepare(treasurer)
    with pytest.raises(NotReady, match="not over yet"):
        reconcile(by=treasurer, month="2026-03")
    bring(treasurer, [trn("a1", "20260302", "100.00")], "100.00", "20260320")
    with clock.at(AFTER):
        confirm_all(by=treasurer, chosen=suggestions())
    with pytest.raises(NotReady, match="end on 2026-03-20, not on 2026-03-31"):
        prepare(treasurer)
    assert prepare(treasurer, statement_balance=Money(10_000)).book_balance == Money(10_000)


def test_a_platforms_own_balance_is_noted_and_noted_anew(treasurer: Person, owner: Person) -> None:
    platform = Platform.objects.get(code="patch-circle")
    told = {"platform": platform, "month": "2026-03"}
    with pytest.raises(NotReady, match="not over yet"):
        set_platform_balance(by=treasurer, amount=Money(2500), **told)  # type: ignore[arg-type]
    with clock.at(AFTER):
        with pytest.raises(NotAllowed):
            set_platform_balance(by=owner, amount=Money(2500), **told)  # type: ignore[arg-type]
        set_platform_balance(by=treasurer, amount=Money(2500), **told)  # type: ignore[arg-type]
        set_platform_balance(by=treasurer, amount=Money(2600), origin="imported", **told)  # type: ignore[arg-type]
    assert [str(row.amount) for row in PlatformBalance.objects.order_by("pk")] == ["25.00", "26.00"]
