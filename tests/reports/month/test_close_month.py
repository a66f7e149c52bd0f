from datetime import date

import pytest

from fund import clock
from fund.access.models import Person
from fund.gifts.actions import add_supporter, record_gift
from fund.gifts.actions_cash import bank_deposit, count_cash
from fund.ledger.actions import post
from fund.ledger.chart import BANK, GIFTS, NET_FREE, NET_RESTRICTED, SUPPLIES
from fund.ledger.models import Month
from fund.ledger.rules import EntryDraft, cr, dr
from fund.receipts.actions import post_receipt, save_draft
from fund.refusal import AlreadyDone, NotAllowed, NotReady
from reports.month.actions import close_month
from reports.month.queries_close import close_list
from tests.fund.receipts.makers import line, m, paper
from tests.reports.month.march import Crew

AFTER = date(2026, 4, 3)


@pytest.fixture
def book(crew: Crew) -> None:
    with clock.at(date(2026, 3, 1)):
        lines = [dr(BANK, m("500.00")), cr(GIFTS, m("500.00"))]
        post(by=crew.treasurer, draft=EntryDraft("gift", date(2026, 3, 1), "Gifts", lines))


def blocking(month: str = "2026-03") -> list[str]:
    return [stop.code for stop in close_list(month) if stop.blocks]


def looking(month: str = "2026-03") -> list[str]:
    return [stop.code for stop in close_list(month) if not stop.blocks]


def test_a_month_with_nothing_that_blocks_closes(book: None, crew: Crew) -> None:
    with clock.at(AFTER):
        assert (blocking(), looking()) == ([], ["bank"])  # no statement was ever brought in
        month = close_month(by=crew.treasurer, month="2026-03")
    assert month.closed_by == crew.treasurer
    assert close_list("2026-03") == []


def test_a_month_is_over_before_it_closes(book: None, crew: Crew) -> None:
    with clock.at(date(2026, 3, 31)), pytest.raises(NotReady) as refused:
        close_month(by=crew.treasurer, month="2026-03")
    assert "2026-03 is not over yet" in refused.value.details[0]


def test_months_close_in_order(book: None, crew: Crew) -> None:
    with clock.at(date(2026, 5, 3)):
        assert blocking("2026-04") == ["before"]
        with pytest.raises(NotReady):
            close_month(by=crew.treasurer, month="2026-04")
    assert not Month.objects.exists()


def test_a_month_closes_once(book: None, crew: Crew) -> None:
    with clock.at(AFTER):
        close_month(by=crew.treasurer, month="2026-03")
        with pytest.raises(AlreadyDone):
            close_month(by=crew.owner, month="2026-03")


def test_a_draft_receipt_stops_the_close_until_it_is_posted(book: None, crew: Crew) -> None:
    with clock.at(AFTER):
        data = paper(
            crew.volunteer, "10.00", "0.00", line("gloves", "10.00", "supplies"), on=date(2026, 3, 30)
        )
        draft = save_draft(by=crew.volunteer, data=data)
        assert blocking() == ["drafts"]
        with pytest.raises(NotReady) as refused:
            close_month(by=crew.treasurer, month="2026-03")
        assert draft.code in refused.value.details[0]
        post_receipt(by=crew.volunteer, receipt=draft)
        assert blocking() == []


def test_a_draft_of_the_next_month_does_not_stop_it(book: None, crew: Crew) -> None:
    with clock.at(AFTER):
        save_draft(by=crew.volunteer, data=paper(crew.volunteer, "10.00", "0.00", on=date(2026, 4, 2)))
        assert blocking() == []


def test_cash_and_checks_not_banked_stop_the_close(book: None, crew: Crew) -> None:
    with clock.at(AFTER):
        count = count_cash(
            by=crew.volunteer,
            second=crew.volunteer2,
            on=date(2026, 3, 30),
            place="open bay day",
            denominations={2000: 2},
        )
        giver = add_supporter(by=crew.treasurer, name="Check writer")
        gift = record_gift(
            by=crew.treasurer,
            kind="check",
            received_on=date(2026, 3, 29),
            amount=m("25.00"),
            supporter=giver,
            check_number="7",
        )
        stop = close_list("2026-03")[0]
        assert stop.code == "unbanked"
        assert stop.amount == m("65.00")
        bank_deposit(by=crew.treasurer, on=date(2026, 4, 2), counts=[count], gifts=[gift])
        assert blocking() == []


def test_an_overdrawn_restriction_stops_the_close(book: None, crew: Crew) -> None:
    from fund.ledger.actions import add_purpose

    add_purpose(by=crew.treasurer, code="tires", name="Tires")
    lines = [
        dr(NET_RESTRICTED, m("5.00"), purpose="tires"),
        cr(BANK, m("5.00"), purpose="tires"),
        dr(BANK, m("5.00")),
        cr(NET_FREE, m("5.00")),
    ]
    post(by=crew.treasurer, draft=EntryDraft("release", date(2026, 3, 5), "Too much", lines))
    with clock.at(AFTER):
        assert blocking() == ["overdrawn"]


def test_money_still_in_clearing_is_only_to_be_looked_at(book: None, crew: Crew) -> None:
    lines = [dr("1031", m("30.00")), cr(GIFTS, m("30.00"))]
    post(by=crew.treasurer, draft=EntryDraft("gift", date(2026, 3, 5), "On its way", lines))
    with clock.at(AFTER):
        assert looking() == ["bank", "clearing"]
        close_month(by=crew.treasurer, month="2026-03")


def test_only_a_treasurer_or_owner_closes(book: None, volunteer: Person, accountant: Person) -> None:
    with clock.at(AFTER):
        for person in (volunteer, accountant):
            with pytest.raises(NotAllowed):
                close_month(by=person, month="2026-03")


def test_the_close_list_asks_a_constant_number_of_questions(
    book: None, crew: Crew, django_assert_max_num_queries: object
) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with clock.at(AFTER):
        with CaptureQueriesContext(connection) as few:
            close_list("2026-03")
        for number in range(6):
            data = paper(crew.volunteer, "10.00", "0.00", number=f"n{number}", on=date(2026, 3, 30))
            save_draft(by=crew.volunteer, data=data)
        with CaptureQueriesContext(connection) as many:
            stops = close_list("2026-03")
    assert "and 1 more" in stops[0].text
    assert len(many) == len(few)
    assert SUPPLIES
