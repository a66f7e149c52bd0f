"""Short ways to the bank's actions for tests."""

from datetime import date

from fund import clock
from fund.access.models import Person
from fund.bank.actions_import import StatementImport, import_statement
from fund.bank.models import StatementLine
from fund.bank.queries_open import standing_lines
from fund.gifts.actions import add_supporter, record_gift
from fund.ledger.models import Entry, Line
from fund.money import Money, parse_money
from tests.fund.bank.files import ofx

AFTER = date(2026, 4, 2)


def bring(
    by: Person, rows: list[str], closing: str, as_of: str = "20260331", name: str = "march.ofx"
) -> StatementImport:
    with clock.at(AFTER):
        return import_statement(by=by, data=ofx(rows, closing, as_of), filename=name)


def given(by: Person, amount: str, on: date, name: str = "Ada Moss") -> Entry:
    """The entry of a gift by transfer: Dr 1000 on its day."""
    giver = add_supporter(by=by, name=name)
    gift = record_gift(by=by, kind="transfer", received_on=on, amount=parse_money(amount), supporter=giver)
    assert gift.entry is not None
    return gift.entry


def stored() -> list[tuple[str, str, str]]:
    """What stands of the bank's lines: (day, amount, words), without the opening row."""
    rows = standing_lines().exclude(kind="OPENING").order_by("on", "amount", "ref")
    return [(f"{row.on:%m-%d}", str(row.amount), row.words) for row in rows]


def line(amount: str) -> StatementLine:
    return standing_lines().get(amount=parse_money(amount))


def lines_of(entry: Entry) -> list[tuple[str, str, str | None, Money]]:
    rows = Line.objects.filter(entry=entry).order_by("ordinal")
    return [(row.account_id, row.purpose_id, row.cost_object_id, row.amount) for row in rows]
