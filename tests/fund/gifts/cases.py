"""Short ways to the gifts that the edge cases begin with."""

from datetime import date

from fund.access.models import Person
from fund.gifts.actions import Charge, add_supporter, record_gift
from fund.gifts.models import Gift, Platform, Supporter
from fund.ledger.models import Entry
from fund.money import Money
from tests.fund.gifts.files import Line, lines_of

ON = date(2026, 3, 2)


def supporter(by: Person, name: str = "Ada Moss", email: str = "") -> Supporter:
    return add_supporter(by=by, name=name, email=email)


def by_card(
    by: Person,
    cents: int,
    ref: str = "c1",
    giver: Supporter | None = None,
    fee: int = 0,
    purpose: str = "general",
) -> Gift:
    charge = Charge(Platform.objects.get(code="kettle-card"), ref, processing_fee=Money(fee))
    return record_gift(
        by=by,
        kind="card",
        received_on=ON,
        amount=Money(cents),
        supporter=giver,
        charge=charge,
        purpose=purpose,
    )


def by_transfer(by: Person, cents: int, giver: Supporter, on: date = ON, purpose: str = "general") -> Gift:
    return record_gift(
        by=by, kind="transfer", received_on=on, amount=Money(cents), supporter=giver, purpose=purpose
    )


def last() -> list[Line]:
    """The entry booked last."""
    return lines_of(Entry.objects.latest("number"))
