"""A small book for the tests of its pages: an opening, a gift, a purchase, a fact of January found in February."""

from datetime import date

from fund import clock
from fund.access.models import Person
from fund.ledger.actions import add_purpose, close_month, post
from fund.ledger.chart import BANK, GIFTS, NET_FREE, NET_RESTRICTED, SUPPLIES
from fund.ledger.rules import EntryDraft, LineDraft, cr, dr
from fund.money import Money


def write_book(by: Person) -> None:
    with clock.at(date(2026, 2, 20)):
        add_purpose(by=by, code="tires", name="Tires", giver_words="for tires")
        opening = [
            dr(BANK, Money(50000)),
            cr(NET_FREE, Money(50000)),
            dr(BANK, Money(30000), purpose="tires"),
            cr(NET_RESTRICTED, Money(30000), purpose="tires"),
        ]
        _post(by, "opening", date(2026, 1, 1), "Opening balances", opening)
        _post(by, "gift", date(2026, 1, 10), "Gift by check", [dr(BANK, Money(2500)), cr(GIFTS, Money(2500))])
        close_month(by=by, month="2026-01")
        _post(by, "receipt", date(2026, 2, 3), "Gloves", [dr(SUPPLIES, Money(1000)), cr(BANK, Money(1000))])
        _post(
            by,
            "receipt",
            date(2026, 1, 28),
            "Rags, found late",
            [dr(SUPPLIES, Money(310)), cr(BANK, Money(310))],
        )


def _post(by: Person, kind: str, day: date, text: str, lines: list[LineDraft]) -> None:
    post(by=by, draft=EntryDraft(kind, day, text, lines))
