from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.refusal import AlreadyDone
from reports.position import actions
from reports.position.models import Verification
from reports.position.proofs import ALL_PROOFS
from tests.fund.ledger.books import write_book

ForPerson = Callable[[Person], Client]


def test_sound_books_hold(treasurer: Person, accountant: Person, client_for: ForPerson) -> None:
    write_book(treasurer)
    page = client_for(accountant).post(reverse("position:verify"), follow=True).content.decode()
    assert "The books hold." in page
    assert "Entries are chained and unchanged" in page


def test_a_changed_entry_is_named(treasurer: Person, accountant: Person, client_for: ForPerson) -> None:
    write_book(treasurer)
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("DROP TRIGGER fund_entry_no_update")
        else:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # a table with checks to come cannot be altered
            cursor.execute("ALTER TABLE fund_entry DISABLE TRIGGER fund_entry_no_change")
        cursor.execute("UPDATE fund_entry SET text = 'Gift by cash' WHERE number = 2")
    page = client_for(accountant).post(reverse("position:verify"), follow=True).content.decode()
    assert "The books do not hold." in page
    assert "Entry 2 of 2026-01-10" in page


def test_looking_at_the_page_sets_nothing_off(accountant: Person, client_for: ForPerson) -> None:
    assert "Verify now" in client_for(accountant).get(reverse("position:verify")).content.decode()
    assert not Verification.objects.exists()


def test_the_next_reader_sees_who_verified_last(
    treasurer: Person, accountant: Person, client_for: ForPerson
) -> None:
    client_for(accountant).post(reverse("position:verify"))
    page = client_for(treasurer).get(reverse("position:verify")).content.decode()
    assert "Verified by Petra Lindqvist, 2026-03-15" in page
    assert "Verify once more" in page


def test_large_books_are_proved_beside_the_page_which_tells_how_far_it_is(
    treasurer: Person, accountant: Person, client_for: ForPerson, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_book(treasurer)
    left = []
    monkeypatch.setattr(actions, "LARGE", 1)
    monkeypatch.setattr(actions.long_work, "run_beside", lambda act, name: left.append(act))
    client = client_for(accountant)
    page = client.post(reverse("position:verify"), follow=True).content.decode()
    assert f"0 of {len(ALL_PROOFS)} proofs are made." in page
    assert '<noscript><meta http-equiv="refresh" content="2"></noscript>' in page
    part = client.get(reverse("position:verify"), headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in part
    assert "hx-trigger" in part
    again = client.post(reverse("position:verify"), follow=True).content.decode()
    assert "The books are being verified already." in again
    left[0]()
    page = client.get(reverse("position:verify")).content.decode()
    assert "The books hold." in page
    assert "refresh" not in page


def test_progress_counts_the_proofs(treasurer: Person, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[int] = []
    monkeypatch.setattr(actions.long_work.progress, "tell", lambda job, rows: told.append(rows))
    done = actions.verify_books(by=treasurer)
    assert told == list(range(1, len(ALL_PROOFS) + 1))
    assert len(done.proved) == len(ALL_PROOFS)


def test_only_one_at_a_time(treasurer: Person) -> None:
    actions.begin_verification(by=treasurer)
    with pytest.raises(AlreadyDone):
        actions.begin_verification(by=treasurer)
