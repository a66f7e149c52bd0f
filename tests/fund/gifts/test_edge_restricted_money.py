"""Restricted money on its way, and going back: only what the bank has may be promised, and nothing that leaves a pot helps."""

from datetime import date, timedelta

import pytest

from fund.access.models import Person
from fund.commitments.actions import promise, spend
from fund.commitments.queries import free_for, position
from fund.gifts.actions_disputes import open_dispute
from fund.gifts.actions_payout import import_payout
from fund.gifts.actions_restrictions import ask_restriction_change, decide_restriction_change
from fund.gifts.actions_returns import record_refund
from fund.gifts.actions_watch import resolve_exception
from fund.gifts.models import Gift, GiftException
from fund.ledger.actions import add_cost_object, add_purpose, post
from fund.ledger.chart import BANK, PARTS
from fund.ledger.models import Entry, Purpose
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.refusal import NotEnoughMoney
from tests.fund.gifts.cases import ON, by_card, by_transfer, supporter
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


def test_restricted_money_that_is_not_in_the_bank_yet_is_not_promised_and_takes_nothing_from_general(
    treasurer: Person, tires: Purpose
) -> None:
    by_transfer(treasurer, 300_000, supporter(treasurer))
    before = position().free_to_commit
    by_card(treasurer, 15_000, "c1", purpose="tires")
    assert (str(position().restricted), position().free_to_commit) == ("150.00", before)
    assert free_for("tires") == Money.zero


def paid_out(by: Person, cents: int = 300_000) -> None:
    """General money in the bank, and 150.00 for tires that came with a payout."""
    by_transfer(by, cents, supporter(by))
    gift = taken("c1", "2026-03-03", "150.00", receipt_email="o1@x.org", giver_note_code="tires")
    brought(by, gift, to_bank("P1", "2026-03-05", "-150.00"))


def spent(by: Person, owner: Person, cents: int) -> None:
    add_cost_object(by=by, code="RO-0001", label="Elm, wagon")
    told = {"cost_object": "RO-0001", "amount": Money(cents), "tolerance": Money.zero}
    promise(by=owner, purpose="tires", reason="approved", **told)  # type: ignore[arg-type]
    lines = [dr(PARTS, Money(cents), cost_object="RO-0001"), cr(BANK, Money(cents))]
    entry = post(by=by, draft=EntryDraft("receipt", ON, "Tires", lines))
    spend(by=by, cost_object="RO-0001", amount=Money(cents), entry=entry)


def test_a_dispute_of_a_restricted_gift_never_raises_what_is_free(
    treasurer: Person, owner: Person, tires: Purpose
) -> None:
    paid_out(treasurer)
    spent(treasurer, owner, 2542)
    before = position()
    assert (str(before.restricted), before.free_to_commit) == ("124.58", Money(200_000))
    open_dispute(
        by=treasurer,
        gift=Gift.objects.get(platform_ref="c1"),
        on=date(2026, 3, 14),
        platform_ref="d1",
        fee=Money(1500),
    )
    now = position()
    # 165.00 goes back to the platform; 124.58 of it is what was left for tires, the rest is general money's.
    assert (str(dict(now.pots)["tires"]), now.free_to_commit) == ("-25.42", Money(200_000 - 4042))
    assert [str(one.amount) for one in now.subtractions if one.label == "Owed back to platforms"] == [
        "165.00"
    ]
    assert free_for("tires") <= Money.zero


def test_a_platform_that_holds_other_gifts_does_not_make_up_for_what_it_takes_back(
    treasurer: Person, tires: Purpose
) -> None:
    paid_out(treasurer)
    by_card(treasurer, 60_000, "c7")
    before = position().free_to_commit
    gift = Gift.objects.get(platform_ref="c1")
    open_dispute(by=treasurer, gift=gift, on=date(2026, 3, 14), platform_ref="d1")
    assert (position().free_to_commit, free_for("tires")) == (before, Money.zero)


def test_a_restricted_gift_that_was_spent_goes_back_only_after_two_people_repaid_its_pot(
    treasurer: Person, owner: Person, tires: Purpose
) -> None:
    gift = by_transfer(treasurer, 30_000, supporter(treasurer), purpose="tires")
    by_transfer(treasurer, 300_000, supporter(treasurer, "Bo Finch"))
    spent(treasurer, owner, 17_542)
    before = Entry.objects.count()
    with pytest.raises(NotEnoughMoney, match=r"124\.58 is left for Tires: G-00001 over 300\.00 was spent"):
        record_refund(by=treasurer, gift=gift, on=DAY, reason="they ask for it")
    assert Entry.objects.count() == before
    told = {"kind": "repay", "purpose": tires, "amount": Money(17_542), "words": "so that it can go back"}
    asked = ask_restriction_change(by=treasurer, on=DAY, **told)  # type: ignore[arg-type]
    free = position().free_to_commit
    decide_restriction_change(by=owner, change=asked, agreed=True)
    assert position().free_to_commit == free - Money(17_542)
    record_refund(by=treasurer, gift=gift, on=DAY, reason="they ask for it")
    assert (dict(position().pots)["tires"], position().free_to_commit) == (Money.zero, free - Money(17_542))


def test_a_restricted_gift_that_is_promised_does_not_go_back(
    treasurer: Person, owner: Person, tires: Purpose
) -> None:
    gift = by_transfer(treasurer, 30_000, supporter(treasurer), purpose="tires")
    by_transfer(treasurer, 300_000, supporter(treasurer, "Bo Finch"))
    add_cost_object(by=treasurer, code="RO-0001", label="Elm, wagon")
    told = {"cost_object": "RO-0001", "amount": Money(10_000), "tolerance": Money.zero}
    promise(by=owner, purpose="tires", reason="approved", **told)  # type: ignore[arg-type]
    with pytest.raises(NotEnoughMoney, match=r"300\.00 is left for Tires, and 100\.00 of it is promised"):
        record_refund(by=treasurer, gift=gift, on=DAY, reason="they ask for it")


def test_a_large_first_gift_in_dispute_is_owed_to_its_platform_and_not_held_besides(
    treasurer: Person,
) -> None:
    rows = [*ordinary(), taken("big", "2026-03-03", "2200.00"), to_bank("P1", "2026-03-14", "-2680.00")]
    brought(treasurer, *rows)
    gift = Gift.objects.get(platform_ref="big")
    open_dispute(by=treasurer, gift=gift, on=date(2026, 3, 15), platform_ref="d1")
    # 480.00 of other gifts less the reserve of 1,000.00
    assert str(position().free_to_commit) == "-520.00"


def test_a_promise_out_of_a_gift_that_was_disputed_is_general_moneys_now(
    treasurer: Person, owner: Person, tires: Purpose
) -> None:
    paid_out(treasurer)
    add_cost_object(by=treasurer, code="RO-0001", label="Elm, wagon")
    told = {"cost_object": "RO-0001", "amount": Money(10_000), "tolerance": Money.zero}
    promise(by=owner, purpose="tires", reason="approved", **told)  # type: ignore[arg-type]
    before = position().free_to_commit
    gift = Gift.objects.get(platform_ref="c1")
    open_dispute(by=treasurer, gift=gift, on=date(2026, 3, 14), platform_ref="d1")
    # The 150.00 for tires goes back to the platform; the repair was promised 100.00 all the same.
    assert position().free_to_commit == before - Money(10_000)
