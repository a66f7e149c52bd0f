"""From an uploaded statement over its preview, the matches and the settling to a reviewed month, as the pages do it."""

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from fund import clock
from fund.access.models import Person
from fund.bank.models import (
    BankAccount,
    MatchGroup,
    PlatformBalance,
    Reconciliation,
    StatementFile,
    StatementLayout,
    StatementLine,
    StatementUpload,
)
from fund.bank.queries_open import open_lines
from fund.ledger.models import Entry
from fund.money import Money
from tests.fund.bank.acts import AFTER, bring, given, line, lines_of
from tests.fund.bank.files import camt, ntry, ofx, trn

pytestmark = pytest.mark.django_db
Enter = Callable[[Person], Client]


@pytest.fixture(autouse=True)
def _april(settings: Any, tmp_path: Path) -> Iterator[None]:
    settings.MEDIA_ROOT = tmp_path
    with clock.at(AFTER):
        yield


def told(client: Client, name: str, *args: object, **data: Any) -> str:
    return client.get(reverse(name, args=args), data).content.decode()


def send(client: Client, page: str, /, *args: object, **data: Any) -> Any:
    return client.post(reverse(page, args=args), data, follow=True)


def file(rows: list[str], closing: str) -> SimpleUploadedFile:
    return SimpleUploadedFile("march.ofx", ofx(rows, closing, "20260331"))


def test_a_statement_is_seen_line_by_line_before_it_is_taken(treasurer: Person, client_for: Enter) -> None:
    client = client_for(treasurer)
    page = send(
        client, "bank:upload", file=file([trn("a1", "20260302", "184.00", "Ada Moss")], "184.00")
    ).content.decode()
    assert "Ada Moss" in page and "1 new line, 0 here already." in page and "Take these lines" in page
    assert StatementLine.objects.count() == 0
    kept = StatementUpload.objects.get()
    answer = send(client, "bank:upload-take", kept.pk)
    assert "1 new line, 0 were here before." in answer.content.decode()
    assert (StatementUpload.objects.count(), StatementFile.objects.count()) == (0, 1)
    assert "march.ofx" in told(client, "bank:statements")
    assert "184.00" in told(client, "bank:statement", StatementFile.objects.get().pk)


def test_a_file_of_several_statements_is_seen_before_it_is_taken(
    treasurer: Person, client_for: Enter
) -> None:
    first = camt(
        [ntry("r1", "2026-03-02", "10.00", "CRDT", "First")], "100.00", "110.00", "2026-03-02"
    ).decode()
    second = camt(
        [ntry("r2", "2026-03-03", "4.00", "DBIT", "Second")], "110.00", "106.00", "2026-03-03"
    ).decode()
    inner = second[second.index("<Stmt>") : second.index("</BkToCstmrStmt>")]
    data = first.replace("</BkToCstmrStmt>", inner + "</BkToCstmrStmt>").encode()
    client = client_for(treasurer)
    page = send(client, "bank:upload", file=SimpleUploadedFile("days.xml", data)).content.decode()
    assert "2 new lines, 0 here already." in page and "First" in page and "Second" in page
    assert (StatementLine.objects.count(), StatementFile.objects.count(), BankAccount.objects.count()) == (
        0,
        0,
        0,
    )
    assert (
        "2 new lines" in send(client, "bank:upload-take", StatementUpload.objects.get().pk).content.decode()
    )


def test_a_refused_statement_says_why_and_stores_nothing(treasurer: Person, client_for: Enter) -> None:
    data = file([trn("a1", "20260302", "184.00")], "184.00").read()[:-70]
    answer = send(client_for(treasurer), "bank:upload", file=SimpleUploadedFile("m.ofx", data))
    assert answer.status_code == 422
    assert "The file is cut off" in answer.content.decode()
    assert StatementUpload.objects.count() == 0


def test_a_statement_imported_before_is_not_uploaded_again(treasurer: Person, client_for: Enter) -> None:
    rows = [trn("a1", "20260302", "184.00")]
    bring(treasurer, rows, "184.00")
    answer = send(client_for(treasurer), "bank:upload", file=file(rows, "184.00"))
    assert "imported before, as march.ofx" in answer.content.decode()


def test_a_file_that_waits_can_be_dropped(treasurer: Person, client_for: Enter) -> None:
    client = client_for(treasurer)
    send(client, "bank:upload", file=file([trn("a1", "20260302", "184.00")], "184.00"))
    assert (
        "Nothing was taken from it"
        in send(client, "bank:upload-drop", StatementUpload.objects.get().pk).content.decode()
    )
    assert (StatementUpload.objects.count(), StatementLine.objects.count()) == (0, 0)


def test_a_suggestion_shows_its_reason_and_is_confirmed(treasurer: Person, client_for: Enter) -> None:
    entry = given(treasurer, "184.00", date(2026, 3, 2))
    bring(treasurer, [trn("a1", "20260303", "184.00", "Ada Moss")], "184.00")
    client = client_for(treasurer)
    page = told(client, "bank:match")
    assert "Same amount, 1 day apart." in page
    value = f"{line('184.00').pk}:{entry.number}"
    assert f'value="{value}"' in page
    assert "M-00001" in send(client, "bank:confirm", suggestion=value).content.decode()
    assert "no longer stands" in send(client, "bank:confirm", suggestion=value).content.decode()
    assert "Every line of the bank is matched." in told(client, "bank:match")


def test_the_sure_suggestions_are_confirmed_at_once(treasurer: Person, client_for: Enter) -> None:
    for amount in ("10.00", "20.00"):
        given(treasurer, amount, date(2026, 3, 2))
    bring(treasurer, [trn("a1", "20260302", "10.00"), trn("a2", "20260302", "20.00")], "30.00")
    client = client_for(treasurer)
    assert "2 sure suggestions are confirmed." in send(client, "bank:confirm-sure").content.decode()
    assert "No sure suggestion is left." in send(client, "bank:confirm-sure").content.decode()


def test_a_charge_is_posted_on_the_page_of_its_line(treasurer: Person, client_for: Enter) -> None:
    bring(treasurer, [trn("a1", "20260331", "-9.00", "Service charge")], "91.00")
    client, pk = client_for(treasurer), line("-9.00").pk
    page = told(client, "bank:settle", pk)
    assert "Bank charge" in page and "Interest" not in page
    answer = send(client, "bank:settle", pk, kind="charge", text="Fee of March")
    assert "is settled" in answer.content.decode()
    entry = Entry.objects.latest("number")
    assert (entry.text, lines_of(entry)[1]) == ("Fee of March", ("5310", "general", None, Money(900)))
    assert "posted from the line" in told(client, "bank:statement-line", pk).lower()


def test_a_line_is_split_on_its_page_and_a_wrong_sum_keeps_what_was_typed(
    treasurer: Person, client_for: Enter
) -> None:
    entry = given(treasurer, "212.00", date(2026, 3, 2))
    bring(treasurer, [trn("a1", "20260303", "209.00")], "209.00")
    client, pk = client_for(treasurer), line("209.00").pk
    wrong = send(
        client,
        "bank:settle",
        pk,
        entries=[entry.number],
        kind="over or short",
        amount="-1.00",
        text="counted twice",
    )
    page = wrong.content.decode()
    assert wrong.status_code == 422
    assert "come to 209.00, the entries to 211.00" in page and "counted twice" in page and "checked" in page
    send(client, "bank:settle", pk, entries=[entry.number], kind="over or short")
    assert lines_of(Entry.objects.latest("number"))[0] == ("1000", "general", None, Money(-300))
    assert not open_lines().exclude(kind="OPENING").exists()


def test_a_match_is_undone_with_a_reason(treasurer: Person, client_for: Enter) -> None:
    given(treasurer, "10.00", date(2026, 3, 2))
    bring(treasurer, [trn("a1", "20260302", "10.00")], "10.00")
    client = client_for(treasurer)
    send(client, "bank:confirm-sure")
    code = MatchGroup.objects.get().code
    assert send(client, "bank:undo", code, reason="").status_code == 422
    assert (
        "its lines are open again" in send(client, "bank:undo", code, reason="Another gift.").content.decode()
    )
    assert open_lines().count() == 1


def test_a_month_is_prepared_by_one_and_reviewed_by_another(
    treasurer: Person, accountant: Person, client_for: Enter
) -> None:
    given(treasurer, "184.00", date(2026, 3, 2))
    bring(treasurer, [trn("a1", "20260303", "184.00"), trn("a2", "20260331", "-9.00")], "175.00")
    client = client_for(treasurer)
    assert "is still between the two sides." in told(client, "bank:reconciliation", "2026-03")
    send(client, "bank:confirm-sure")
    send(client, "bank:settle", line("-9.00").pk, kind="charge")
    wrong = send(client, "bank:prepare", "2026-03", statement_balance="157.00")
    assert wrong.status_code == 422
    page = wrong.content.decode()
    assert "-18.00 apart" in page and "two swapped digits 2 apart" in page and 'value="157.00"' in page
    assert (
        "is reconciled to 0.00"
        in send(client, "bank:prepare", "2026-03", statement_balance="175.00").content.decode()
    )
    assert "I reviewed it" not in told(client, "bank:reconciliation", "2026-03")
    draft = client.get(reverse("bank:sheet", args=["2026-03"]))
    assert draft["Content-Type"] == "application/pdf" and draft.content.startswith(b"%PDF")
    other = client_for(accountant)
    assert "I reviewed it" in told(other, "bank:reconciliation", "2026-03")
    assert "kept with the month" in send(other, "bank:review", "2026-03", note="Seen.").content.decode()
    assert Reconciliation.objects.get().review.reviewed_by == accountant
    assert "Petra Lindqvist" in told(client, "bank:reconciliations")
    kept = client.get(reverse("bank:sheet", args=["2026-03"]), follow=True)
    assert b"".join(kept).startswith(b"%PDF")
    month = " ".join(client.get(reverse("month:month", args=["2026-03"])).content.decode().split())
    assert reverse("bank:sheet", args=["2026-03"]) in month
    assert "prepared by Odell Price, reviewed by Petra Lindqvist." in month


def test_an_old_item_is_asked_about_and_its_words_are_kept(treasurer: Person, client_for: Enter) -> None:
    with clock.at(date(2026, 1, 5)):
        given(treasurer, "184.00", date(2026, 1, 5))
    bring(treasurer, [trn("a1", "20260331", "1.00", "Interest")], "1.00")
    client = client_for(treasurer)
    send(client, "bank:settle", line("1.00").pk, kind="interest")
    page = send(client, "bank:prepare", "2026-03", statement_balance="1.00").content.decode()
    assert "Say a word about each item older than 30 days." in page
    field = f"note-entry-{Entry.objects.earliest('number').number}"
    assert f'name="{field}"' in page
    send(client, "bank:prepare", "2026-03", **{"statement_balance": "1.00", field: "The bank looks for it."})
    assert "The bank looks for it." in told(client, "bank:reconciliation", "2026-03")


def test_without_a_statement_the_month_says_what_is_missing(treasurer: Person, client_for: Enter) -> None:
    given(treasurer, "184.00", date(2026, 3, 2))
    assert "No statement of the bank was brought in yet." in told(
        client_for(treasurer), "bank:reconciliation", "2026-03"
    )
    assert client_for(treasurer).get(reverse("bank:reconciliation", args=["2026-3x"])).status_code == 404


def test_what_a_platform_says_is_written_down_beside_the_books(treasurer: Person, client_for: Enter) -> None:
    client = client_for(treasurer)
    assert "not written down" in told(client, "bank:platforms", month="2026-03")
    answer = send(client, "bank:platform", "patch-circle", month="2026-03", amount="12.50")
    assert "12.50" in answer.content.decode()
    assert PlatformBalance.objects.get().amount == Money(1250)
    assert send(client, "bank:platform", "patch-circle", month="2026-04", amount="1.00").status_code == 422


def test_a_layout_is_saved_and_changed_on_its_page(treasurer: Person, client_for: Enter) -> None:
    client = client_for(treasurer)
    words = {"name": "mill", "column_date": "Day", "column_amount": "In", "signs": "two columns", "date_order": "MDY",
             "decimal_mark": ".", "delimiter": ",", "encoding": "utf-8", "lines_before": "0"}  # fmt: skip
    wrong = send(client, "bank:layout-new", **words)
    assert wrong.status_code == 422 and "Money out (with two columns)" in wrong.content.decode()
    send(client, "bank:layout-new", **words, column_out="Out")
    assert StatementLayout.objects.get().columns == {"date": "Day", "amount": "In", "out": "Out"}
    assert 'value="Out"' in told(client, "bank:layout", "mill")


def test_lines_are_found_by_words_state_and_amount(treasurer: Person, client_for: Enter) -> None:
    bring(
        treasurer,
        [trn("a1", "20260302", "184.00", "Ada Moss"), trn("a2", "20260305", "-9.00", "Hall")],
        "175.00",
    )
    client = client_for(treasurer)
    for words in ({"words": "moss"}, {"amount": "184.00"}, {"state": "open", "until": "2026-03-02"}):
        page = told(client, "bank:statement-lines", **words)
        assert "Ada Moss" in page and "Hall" not in page
    answer = client.get(reverse("bank:statement-lines"), {"format": "csv"})
    assert b"Ada Moss" in b"".join(answer)
