"""Restricted money on its way, and going back: only what the bank has may be promised, and nothing that leaves a pot helps."""

from datetime import date, timedelta

import pytest

from fund.access.models import Person
from fund.commitments.actions import promise
from fund.commitments.queries import free_for, position
from fund.gifts.actions_payout import import_payout
from fund.gifts.actions_watch import resolve_exception
from fund.gifts.models import GiftException
from fund.ledger.actions import add_cost_object, add_purpose
from fund.ledger.models import Purpose
from fund.money import Money
from fund.refusal import NotEnoughMoney
from tests.fund.gifts.cases import by_card
from tests.fund.gifts.files import kettle_card, kettle_file, taken, to_bank
from tests.fund.gifts.test_edge_disputes import ordinary

DAY = date(2026, 3, 12)


@pytest.fixture
def tires(treasurer: Person) -> Purpose:
    return add_purpose(by=treasurer, code="tires", name="Tires", giver_words="for tires only")


def brought(by: Person, *rows: dict[str, str], name: str = "f.csv") -> None:
    import_payout(by=by, data=kettle_file(*rows), filename=name, layout=kettle_card())


def large(to: str = "P1") -> dict[str, str]:
    more = {"receipt_email": "stranger@example.org", "giver_note_code": "tires"}
    return taken("big", "2026-03-03", "2200.00", "50.00", to=to, **more)


def test_a_large_first_gift_for_tires_is_watched_and_not_promised(
    treasurer: Person, owner: Person, tires: Purpose
) -> None:
    brought(treasurer, *ordinary(), large(), to_bank("P1", "2026-03-14", "-2630.00"))
    found = GiftException.objects.get()
    assert found.kind == "large first gift"
    # 12 x 40.00 and 2,200.00 less its fee of 50.00, which general money bears
    assert (str(position().bank), str(position().free_to_commit)) == ("2,630.00", "-570.00")
    assert free_for("tires") == Money.zero
    add_cost_object(by=owner, code="RO-0001", label="Alder, compact car")
    with pytest.raises(NotEnoughMoney):
        promise(
            by=owner,
            cost_object="RO-0001",
            amount=Money(200_000),
            tolerance=Money.zero,
            purpose="tires",
            reason="approved",
        )
    resolve_exception(by=owner, found=found, words="spoke to them at the bay")
    assert free_for("tires") == Money(220_000)
    assert position(date(2026, 3, 3) + timedelta(days=60)).free_to_commit == Money(-57_000)


def test_a_gift_for_tires_entered_by_hand_is_watched_too(treasurer: Person, tires: Purpose) -> None:
    brought(treasurer, *ordinary(), to_bank("P1", "2026-03-14", "-480.00"))
    by_card(treasurer, 220_000, "c9", purpose="tires")
    assert GiftException.objects.get().kind == "large first gift"
