"""A supporter who asks to be forgotten: the ledger is untouched, the person is gone."""

import html
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.gifts.actions import edit_supporter, record_gift
from fund.gifts.actions_erase import erase_supporter, without_names
from fund.gifts.actions_loans import record_loan, repay_loan
from fund.gifts.actions_merge import merge_supporters
from fund.gifts.actions_payout import import_payout
from fund.gifts.actions_terms import correct_amount
from fund.gifts.forgetting import what_stays
from fund.gifts.models import PayoutFile, Supporter, SupporterKey
from fund.gifts.queries import facts_of, find_supporter
from fund.ledger.models import Entry, Line
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.models import TrailLine
from reports.position.proofs import prove_all
from tests.fund.bank.acts import bring
from tests.fund.bank.files import trn
from tests.fund.gifts.cases import ON, by_transfer, supporter
from tests.fund.gifts.files import patch_circle, patch_file, pledge, transfer

FILE = patch_file(
    pledge("ch1", "03/02/2026", "5.00", Member="Ada Moss", Mail="ada@example.org", **{"Member No": "m1"}),
    pledge("ch2", "03/02/2026", "7.00", Member="Bo Finch", Mail="bo@example.org", **{"Member No": "m2"}),
    transfer("T1", "03/04/2026", "12.00"),
)


@pytest.fixture
def ada(treasurer: Person) -> Supporter:
    import_payout(by=treasurer, data=FILE, filename="t.csv", layout=patch_circle())
    made = Supporter.objects.get(email="ada@example.org")
    return edit_supporter(
        by=treasurer,
        supporter=made,
        name="Ada Moss",
        email="ada@example.org",
        address="4 Sedge Lane",
        kind="person",
        anonymous=False,
        note="prefers letters",
    )


def everywhere(text: str) -> list[str]:
    """Every table that still holds a text in any column."""
    found = []
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f'SELECT * FROM "{table}"')
            for row in cursor.fetchall():
                if any(text in _text(value) for value in row):
                    found.append(table)
                    break
    return found


def _text(value: Any) -> str:
    return bytes(value).decode(errors="replace") if isinstance(value, (bytes, memoryview)) else str(value)


def test_nothing_personal_is_left_anywhere_and_the_ledger_is_as_it_was(
    treasurer: Person, ada: Supporter
) -> None:
    lines, entries = list(Line.objects.values()), list(Entry.objects.values())
    assert everywhere("Ada Moss")
    erase_supporter(by=treasurer, supporter=ada, words="by e-mail on 2026-03-14")
    for told in ("Ada Moss", "ada@example.org", "Sedge Lane", "prefers letters"):
        assert everywhere(told) == []
    assert (list(Line.objects.values()), list(Entry.objects.values())) == (lines, entries)
    ada.refresh_from_db()
    assert (str(ada), ada.name, ada.anonymous) == ("S-0001", "S-0001", True)
    assert not SupporterKey.objects.filter(supporter=ada).exists()
    assert TrailLine.objects.filter(action="supporter.erase", subject="S-0001").count() == 1
    assert everywhere("Bo Finch")  # the other rows of the file are as they came
    assert find_supporter("S-0001") == []


def test_what_was_typed_about_their_gifts_goes_and_what_cannot_is_told_before(
    treasurer: Person, owner: Person, ada: Supporter, client_for: Callable[[Person], Client]
) -> None:
    gift = record_gift(
        by=treasurer,
        kind="transfer",
        received_on=ON,
        amount=Money(50_00),
        supporter=ada,
        note="for Ada Moss's aunt",
    )
    correct_amount(by=treasurer, gift=gift, amount=Money(55_00), reason="ada moss says 55")
    goods = record_gift(
        by=treasurer, kind="goods", received_on=ON, amount=Money(5_00), supporter=ada,
        note="rags of Ada Moss", goods_account="5200",
    )  # fmt: skip
    bring(treasurer, [trn("a1", "20260303", "55.00", "Ada Moss")], "55.00")
    client, address = client_for(treasurer), reverse("gifts:supporter-erase", args=[ada.code])
    asked = client.post(address, {"words": "asked by telephone"}).content.decode()
    (told,) = what_stays(ada)
    assert told in html.unescape(asked)
    assert "1 line of the bank's statements" in told and "of the trail" in told
    client.post(address, {"words": "asked by telephone", "confirm": "yes"})
    kept = {"fund_trailline", "fund_entry", "fund_line", "fund_statementline", "fund_statementfile"}
    assert set(everywhere("Ada Moss") + everywhere("ada moss")) <= kept
    gift.refresh_from_db()
    goods.refresh_from_db()
    assert (gift.note, goods.note) == ("", f"rags of {ada.code}")
    assert prove_all().breaks == []


def test_where_nothing_else_names_them_nothing_is_said_to_stay(treasurer: Person, ada: Supporter) -> None:
    assert what_stays(ada) == []
    ada.email = ""
    ada.name = ada.code  # a code is no name
    assert what_stays(ada) == []


def test_the_same_file_still_posts_nothing(treasurer: Person, ada: Supporter) -> None:
    erase_supporter(by=treasurer, supporter=ada, words="by telephone")
    kept = bytes(PayoutFile.objects.get().data)
    for data in (FILE, kept):
        assert import_payout(by=treasurer, data=data, filename="t.csv", layout=patch_circle()).posted == 0


def test_an_erased_supporter_takes_nothing_back(treasurer: Person, ada: Supporter) -> None:
    gift = by_transfer(treasurer, 100, ada)
    other = supporter(treasurer, "A. Moss", "am@example.org")
    merge_supporters(by=treasurer, kept=ada, gone=other, reason="same")
    erase_supporter(by=treasurer, supporter=ada, words="by telephone")
    assert everywhere("A. Moss") == []  # erased with the one it was merged into
    with pytest.raises(AlreadyDone, match="S-0001 was erased on 2026-03-15"):
        erase_supporter(by=treasurer, supporter=ada, words="again")
    with pytest.raises(BadInput, match="was erased on request"):
        edit_supporter(
            by=treasurer, supporter=ada, name="Ada", email="", address="", kind="person", anonymous=True
        )
    assert facts_of(gift).state == "standing"


def test_who_is_owed_a_loan_is_paid_first(treasurer: Person, ada: Supporter) -> None:
    loan = record_loan(by=treasurer, lender=ada, amount=Money(100), on=ON, words="until May")
    with pytest.raises(NotReady, match="still owes S-0001 a loan"):
        erase_supporter(by=treasurer, supporter=ada, words="asked")
    repay_loan(by=treasurer, loan=loan, amount=Money(100), on=ON)
    with pytest.raises(BadInput, match="Write who asked for it"):
        erase_supporter(by=treasurer, supporter=ada, words=" ")
    erase_supporter(by=treasurer, supporter=ada, words="asked")


def test_a_file_the_layout_reads_no_longer_is_left_alone() -> None:
    spec = patch_circle_spec()
    assert without_names(b"\xff\xfe\x00", spec, {"ch1"}, set()) is None
    assert without_names(FILE, spec, {"other"}, set()) is None


def patch_circle_spec() -> Any:
    from fund.gifts.rules_layout import LayoutSpec

    columns = {"ref": "Charge No", "name": "Member", "email": "Mail", "supporter_id": "Member No"}
    return LayoutSpec(name="x", columns=columns, fees={}, words={}, purposes={})
