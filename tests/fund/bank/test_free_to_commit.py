"""Only what the bank has shown may be promised; a fund without statements keeps the balance of its books."""

from datetime import date
from typing import Any

import pytest

from fund import clock
from fund.access.models import Person
from fund.bank.actions import confirm, confirm_all
from fund.bank.queries_open import suggestions
from fund.commitments.queries import free_for, position
from fund.gifts.actions import add_supporter, record_gift
from fund.gifts.actions_payout import import_payout
from fund.gifts.actions_watch import resolve_exception
from fund.gifts.models import GiftException
from fund.ledger import chart
from fund.ledger.actions import add_purpose
from fund.ledger.actions_hand import post_by_hand
from fund.ledger.rules import cr, dr
from fund.money import Money
from fund.repayments.actions_petty import set_petty_cash
from fund.rulebook.queries import rule
from tests.fund.bank.acts import AFTER, bring, given, line
from tests.fund.bank.files import trn
from tests.fund.gifts.files import kettle_card, kettle_file, taken, to_bank
from tests.fund.gifts.test_edge_disputes import ordinary

pytestmark = pytest.mark.django_db
LABEL = "Deposits the bank has not shown yet"


def free() -> Money:
    return position().free_to_commit + rule("reserve_floor")


def test_without_statements_the_books_balance_counts(treasurer: Person) -> None:
    given(treasurer, "900.00", date(2026, 3, 2))
    assert str(free()) == "900.00"
    assert LABEL not in [item.label for item in position().subtractions]


def test_a_deposit_in_transit_does_not_add_until_the_bank_shows_it(treasurer: Person) -> None:
    entry = given(treasurer, "900.00", date(2026, 3, 2))
    given(treasurer, "80.00", date(2026, 3, 15))
    bring(treasurer, [trn("a1", "20260303", "900.00")], "900.00", "20260315")
    with clock.at(AFTER):
        assert str(free()) == "0.00"
        confirm(by=treasurer, lines=[line("900.00")], entries=[entry])
        assert str(free()) == "900.00"
        taken = {item.label: str(item.amount) for item in position().subtractions}
        assert taken[LABEL] == "80.00"
    bring(treasurer, [trn("a2", "20260402", "80.00")], "980.00", "20260402", "april.ofx")
    with clock.at(AFTER):
        confirm_all(by=treasurer, chosen=suggestions())
        assert str(free()) == "980.00"
        assert str(position(date(2026, 3, 31)).free_to_commit + rule("reserve_floor")) == "900.00"


def test_a_mistyped_sum_of_petty_cash_put_right_is_no_deposit_on_its_way(
    treasurer: Person, volunteer: Person
) -> None:
    entry = given(treasurer, "9000.00", date(2026, 3, 2))
    bring(treasurer, [trn("a1", "20260303", "9000.00")], "9000.00", "20260315")
    with clock.at(AFTER):
        confirm(by=treasurer, lines=[line("9000.00")], entries=[entry])
        both: dict[str, Any] = {"by": treasurer, "seen_by": volunteer, "on": date(2026, 4, 1)}
        wrong = set_petty_cash(amount=Money(3000_00), **both)
        set_petty_cash(amount=Money(300_00), **both)
        assert str(free()) == "8,700.00"
    bring(treasurer, [trn("a2", "20260402", "-3000.00")], "6000.00", "20260402", "april.ofx")
    with clock.at(AFTER):  # the bank saw it go, so what was brought back is on its way after all
        assert wrong.entry is not None
        confirm(by=treasurer, lines=[line("-3000.00")], entries=[wrong.entry])
        assert str(free()) == "6,000.00"


def test_an_outstanding_check_has_left_already(treasurer: Person) -> None:
    given(treasurer, "900.00", date(2026, 3, 2))
    bring(treasurer, [trn("a1", "20260303", "900.00")], "900.00", "20260315")
    with clock.at(AFTER):
        confirm_all(by=treasurer, chosen=suggestions())
        spent = [dr(chart.ADMIN, Money(4500)), cr(chart.BANK, Money(4500))]
        post_by_hand(by=treasurer, day=date(2026, 3, 10), text="Check to the hall", lines=spent)
        assert str(free()) == "855.00"


def test_restricted_money_in_transit_is_taken_off_once_and_not_promised(treasurer: Person) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires")
    given(treasurer, "900.00", date(2026, 3, 2))
    giver = add_supporter(by=treasurer, name="Anwen Pell")
    told = {"kind": "transfer", "received_on": date(2026, 3, 14), "amount": Money(15_000)}
    record_gift(by=treasurer, supporter=giver, purpose="tires", **told)  # type: ignore[arg-type]
    bring(treasurer, [trn("a1", "20260303", "900.00")], "900.00", "20260315")
    with clock.at(AFTER):
        confirm_all(by=treasurer, chosen=suggestions())
        assert str(free()) == "900.00"
        assert str(free_for("tires")) == "0.00"
    bring(treasurer, [trn("a2", "20260402", "150.00")], "1050.00", "20260402", "april.ofx")
    with clock.at(AFTER):
        confirm_all(by=treasurer, chosen=suggestions())
        assert str(free_for("tires")) == "150.00"


def test_a_large_first_gift_whose_payout_is_in_transit_is_taken_off_once(
    treasurer: Person, owner: Person
) -> None:
    given(treasurer, "900.00", date(2026, 3, 2))
    bring(treasurer, [trn("a1", "20260303", "900.00")], "900.00", "20260315")
    rows = [
        *ordinary(),
        taken("big", "2026-03-03", "2200.00", "50.00"),
        to_bank("P1", "2026-03-14", "-2630.00"),
    ]
    with clock.at(AFTER):
        confirm_all(by=treasurer, chosen=suggestions())
        import_payout(by=treasurer, data=kettle_file(*rows), filename="f.csv", layout=kettle_card())
        assert str(free()) == "900.00"
        assert [str(item.amount) for item in position().subtractions if item.label == LABEL] == ["2,630.00"]
    bring(treasurer, [trn("a2", "20260402", "2630.00")], "3530.00", "20260402", "april.ofx")
    with clock.at(AFTER):
        confirm_all(by=treasurer, chosen=suggestions())
        assert str(free()) == "1,380.00"  # 900.00 and twelve gifts of 40.00; 2,150.00 is watched
        resolve_exception(by=owner, found=GiftException.objects.get(), words="known from the church")
        assert str(free()) == "3,530.00"
