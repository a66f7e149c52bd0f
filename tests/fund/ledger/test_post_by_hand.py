"""Entries that no room makes, typed by the treasurer."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.ledger.actions import close_month
from fund.ledger.actions_hand import post_by_hand, reverse_by_hand
from fund.ledger.chart import ADMIN, BANK, CORES, NET_FREE, NET_RESTRICTED, NET_SET_ASIDE
from fund.ledger.models import Entry
from fund.ledger.queries import balance
from fund.ledger.rules import LineDraft, cr, dr
from fund.ledger.rules_hand import HAND_ACCOUNTS
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotAllowed
from tests.fund.ledger.books import write_book

ForPerson = Callable[[Person], Client]
INSURANCE = [dr(ADMIN, Money(11800)), cr(BANK, Money(11800))]
DAY = date(2026, 3, 9)


def hand(by: Person, lines: list[LineDraft], text: str = "Insurance, March") -> Entry:
    return post_by_hand(by=by, day=DAY, text=text, lines=lines)


def typed(*rows: tuple[str, str, str], text: str = "Insurance, March") -> dict[str, str]:
    form = {"day": "2026-03-09", "text": text, "line-TOTAL_FORMS": "6", "line-INITIAL_FORMS": "0"}
    for at, (account, debit, credit) in enumerate(rows):
        form |= {
            f"line-{at}-account": account,
            f"line-{at}-purpose": "general",
            f"line-{at}-debit": debit,
            f"line-{at}-credit": credit,
        }
    return form


def test_the_treasurer_posts_what_no_room_records(treasurer: Person) -> None:
    hand(treasurer, INSURANCE)
    assert balance(ADMIN) == Money(11800)


@pytest.mark.parametrize("day", [date(1990, 1, 15), date(2025, 2, 28)])
def test_a_year_typed_wrong_is_refused_before_it_becomes_a_later_change(treasurer: Person, day: date) -> None:
    hand(treasurer, INSURANCE)
    with pytest.raises(BadInput, match=f"is dated {day}; in these books it can be 2025-03-01 or later"):
        post_by_hand(by=treasurer, day=day, text="Insurance", lines=INSURANCE)
    old = [dr(ADMIN, Money(100), document_date=day), cr(BANK, Money(100))]
    with pytest.raises(BadInput, match=f"is dated {day}"):
        post_by_hand(by=treasurer, day=DAY, text="Insurance", lines=old)
    assert Entry.objects.count() == 1
    post_by_hand(by=treasurer, day=date(2025, 3, 1), text="Insurance of the year before", lines=INSURANCE)


def test_empty_books_may_begin_ten_years_back(treasurer: Person) -> None:
    with pytest.raises(BadInput, match="in these books it can be 2016-01-01 or later"):
        post_by_hand(by=treasurer, day=date(2015, 12, 31), text="Insurance", lines=INSURANCE)
    post_by_hand(by=treasurer, day=date(2016, 1, 1), text="Insurance", lines=INSURANCE)


def test_setting_a_reserve_aside_moves_no_cash(treasurer: Person) -> None:
    hand(treasurer, [dr(NET_FREE, Money(100000)), cr(NET_SET_ASIDE, Money(100000))], "Reserve")
    assert balance(NET_FREE) == Money.zero  # the set-aside part is a sub-account of it
    assert balance(BANK) == Money.zero


def test_an_account_kept_by_a_room_is_refused(treasurer: Person) -> None:
    with pytest.raises(BadInput, match="1110 is kept by its own room"):
        hand(treasurer, [dr(CORES, Money(100)), cr(BANK, Money(100))])
    assert not Entry.objects.exists()


def test_a_cent_off_is_refused_and_nothing_typed_is_lost(treasurer: Person, client_for: ForPerson) -> None:
    form = typed((ADMIN, "118.00", ""), (BANK, "", "117.99"))
    answer = client_for(treasurer).post(reverse("ledger:post-entry"), form)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "does not balance: debits and credits differ in general by 0.01" in page
    assert 'value="117.99"' in page
    assert "Insurance, March" in page
    assert not Entry.objects.exists()


def test_the_form_posts_a_balanced_entry(treasurer: Person, client_for: ForPerson) -> None:
    form = typed((ADMIN, "118.00", ""), (BANK, "", "118.00"))
    page = client_for(treasurer).post(reverse("ledger:post-entry"), form, follow=True).content.decode()
    assert "Entry 1 is posted." in page
    assert balance(BANK) == Money(-11800)


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (("", "5.00", ""), "Choose the account"),
        ((ADMIN, "5.00", "5.00"), "not both"),
        ((ADMIN, "", ""), "Write the amount"),
        ((ADMIN, "abc", ""), "is not an amount"),
        ((CORES, "5.00", ""), "Choose one of the list"),
    ],
)
def test_a_row_that_cannot_be_read_says_why(
    treasurer: Person, client_for: ForPerson, row: tuple[str, str, str], words: str
) -> None:
    assert words in client_for(treasurer).post(reverse("ledger:post-entry"), typed(row)).content.decode()


FREED_AT_ONCE = [
    dr(NET_RESTRICTED, Money(10000), purpose="tires"),
    cr(BANK, Money(10000), purpose="tires"),
    dr(BANK, Money(10000)),
    cr(NET_FREE, Money(10000)),
]


@pytest.mark.parametrize(
    "lines",
    [
        FREED_AT_ONCE,
        FREED_AT_ONCE[:2],
        [dr(NET_FREE, Money(10000), purpose="tires"), cr(BANK, Money(10000), purpose="tires")],
        [dr(ADMIN, Money(10000), purpose="tires"), cr(BANK, Money(10000), purpose="tires")],
        [dr(BANK, Money(10000)), cr(NET_RESTRICTED, Money(10000))],
    ],
)
def test_nobody_moves_restricted_money_alone(treasurer: Person, lines: list[LineDraft]) -> None:
    write_book(treasurer)
    before = (Entry.objects.count(), balance(BANK, purpose="tires"), balance(BANK, purpose="general"))
    with pytest.raises(BadInput, match="in the room Gifts under “Changes of restricted money”"):
        hand(treasurer, lines)
    assert before == (Entry.objects.count(), balance(BANK, purpose="tires"), balance(BANK, purpose="general"))


def test_the_form_names_the_room_where_two_change_what_money_is_for(
    treasurer: Person, client_for: ForPerson
) -> None:
    write_book(treasurer)
    form = typed((NET_FREE, "100.00", ""), (BANK, "", "100.00"))
    form |= {"line-0-purpose": "tires", "line-1-purpose": "tires"}
    answer = client_for(treasurer).post(reverse("ledger:post-entry"), form)
    assert answer.status_code == 422
    assert "Restricted money (tires) is not moved by hand" in answer.content.decode()
    assert NET_RESTRICTED not in HAND_ACCOUNTS


def test_a_day_in_a_closed_month_is_told_with_the_day_it_counts_on(
    treasurer: Person, client_for: ForPerson
) -> None:
    post_by_hand(by=treasurer, day=date(2026, 2, 9), text="Insurance, February", lines=INSURANCE)
    close_month(by=treasurer, month="2026-02")
    form = typed((ADMIN, "118.00", ""), (BANK, "", "118.00")) | {"day": "2026-02-20"}
    page = client_for(treasurer).post(reverse("ledger:post-entry"), form, follow=True).content.decode()
    assert (
        "Entry 2 is posted. Its month 2026-02 is closed, so it counts on 2026-03-01 and is told as a later change; its own"
        " day 2026-02-20 is kept beside it." in page
    )
    assert Entry.objects.get(number=2).later_change


def test_only_the_treasurer_posts_by_hand(owner: Person) -> None:
    with pytest.raises(NotAllowed, match="treasurer"):
        hand(owner, INSURANCE)


def test_an_entry_by_hand_is_taken_back_once_by_its_mirror(treasurer: Person, client_for: ForPerson) -> None:
    entry, client = hand(treasurer, INSURANCE), client_for(treasurer)
    answer: Any = client.post(
        reverse("ledger:reverse-entry", args=[1]), {"reason": "Paid by someone else"}, follow=True
    )
    assert "This entry reverses" in answer.content.decode()
    assert balance(BANK) == Money.zero
    with pytest.raises(AlreadyDone):
        reverse_by_hand(by=treasurer, entry=entry, reason="again")


def test_what_came_from_a_room_is_not_taken_back_here(treasurer: Person, client_for: ForPerson) -> None:
    write_book(treasurer)
    with pytest.raises(BadInput, match="Take it back there"):
        reverse_by_hand(by=treasurer, entry=Entry.objects.get(number=2), reason="no")
    assert client_for(treasurer).get(reverse("ledger:reverse-entry", args=[2])).status_code == 404
