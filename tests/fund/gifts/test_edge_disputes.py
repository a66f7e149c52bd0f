"""Chargebacks, stolen cards and card testing, each case played through the action its page uses."""

from datetime import date, timedelta

import pytest

from fund import clock
from fund.access.models import Person
from fund.commitments.actions import promise, spend
from fund.commitments.queries import position
from fund.gifts.actions_disputes import decide_dispute, open_dispute, record_fraud_loss, undo_card_testing
from fund.gifts.actions_payout import import_payout
from fund.gifts.actions_returns import record_refund, return_check
from fund.gifts.actions_watch import resolve_exception
from fund.gifts.models import Gift, GiftException, GiftReturn
from fund.gifts.proofs import clearing_breaks
from fund.gifts.queries import facts_of, supporters
from fund.gifts.queries_payout import plan_import
from fund.gifts.rules_reading import read_file
from fund.ledger.actions import add_cost_object, close_month, post
from fund.ledger.chart import BANK, PARTS
from fund.ledger.models import Entry
from fund.ledger.queries import balance, cost_of
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotReady
from tests.fund.gifts.cases import ON, by_card, by_transfer, supporter
from tests.fund.gifts.files import kettle_card, kettle_file, lines_of, taken, to_bank

DAY = date(2026, 3, 10)


def test_a_chargeback_after_the_money_was_spent_leaves_the_repair_untouched(
    treasurer: Person, owner: Person
) -> None:
    with clock.at(date(2026, 2, 10)):
        data = kettle_file(
            taken("c1", "2026-02-02", "50.00"),
            taken("c2", "2026-02-02", "2000.00"),
            to_bank("P1", "2026-02-04", "-2050.00"),
        )
        import_payout(by=treasurer, data=data, filename="feb.csv", layout=kettle_card())
        add_cost_object(by=treasurer, code="RO-0001", label="Alder, compact car")
        promise(by=owner, cost_object="RO-0001", amount=Money(5000), tolerance=Money.zero, reason="approved")
        lines = [dr(PARTS, Money(5000), cost_object="RO-0001"), cr(BANK, Money(5000))]
        entry = post(by=treasurer, draft=EntryDraft("receipt", date(2026, 2, 5), "Parts", lines))
        spend(by=treasurer, cost_object="RO-0001", amount=Money(5000), entry=entry)
    close_month(by=treasurer, month="2026-02")
    gift = Gift.objects.get(platform_ref="c1")
    dispute = open_dispute(by=treasurer, gift=gift, on=DAY, platform_ref="d1", fee=Money(1500))
    assert lines_of(dispute.entry) == [
        ("4900", "general", "50.00", ""),
        ("5310", "general", "15.00", ""),
        ("1032", "general", "-50.00", ""),
        ("1032", "general", "-15.00", ""),
    ]
    assert dispute.entry.month == "2026-03"  # the month that is closed stays as it was
    assert str(cost_of("RO-0001")) == "50.00"
    facts = facts_of(gift)
    assert (facts.state, facts.why_not) == (
        "in dispute",
        "It is in dispute: no letter until that is settled.",
    )
    decide_dispute(by=treasurer, dispute=dispute, on=DAY, won=True, words="papers sent", platform_ref="w1")
    assert lines_of(Entry.objects.latest("number")) == [
        ("1032", "general", "50.00", ""),
        ("4900", "general", "-50.00", ""),
    ]
    assert str(balance("5310")) == "15.00"  # the fee usually stays
    assert facts_of(gift).state == "standing"
    assert list(clearing_breaks()) == []


def test_a_dispute_that_is_lost_books_nothing_more(treasurer: Person) -> None:
    gift = by_card(treasurer, 5000)
    dispute = open_dispute(by=treasurer, gift=gift, on=DAY, platform_ref="d1")
    before = Entry.objects.count()
    decide_dispute(by=treasurer, dispute=dispute, on=DAY, won=False, words="the cardholder's bank said so")
    assert Entry.objects.count() == before
    assert facts_of(gift).state == "charged back"
    with pytest.raises(AlreadyDone, match="not an open dispute"):
        decide_dispute(by=treasurer, dispute=dispute, on=DAY, won=True, words="again", platform_ref="w1")


def test_a_stolen_card_gets_its_money_back_whole_and_nothing_goes_elsewhere(treasurer: Person) -> None:
    gift = by_card(treasurer, 220_000)
    back = record_refund(by=treasurer, gift=gift, on=DAY, reason="card was stolen", platform_ref="r1")
    assert lines_of(back.entry) == [("4900", "general", "2,200.00", ""), ("1032", "general", "-2,200.00", "")]


def test_money_already_sent_elsewhere_is_a_fraud_loss_beside_the_dispute(treasurer: Person) -> None:
    gift = by_card(treasurer, 220_000)
    entry = record_fraud_loss(
        by=treasurer, gift=gift, amount=Money(200_000), on=DAY, words="“refund 2,000 to my other card”"
    )
    assert lines_of(entry) == [("5330", "general", "2,000.00", ""), ("1000", "general", "-2,000.00", "")]
    dispute = open_dispute(by=treasurer, gift=gift, on=DAY, platform_ref="d1", fee=Money(1500))
    assert lines_of(dispute.entry) == [
        ("4900", "general", "2,200.00", ""),
        ("5310", "general", "15.00", ""),
        ("1032", "general", "-2,200.00", ""),
        ("1032", "general", "-15.00", ""),
    ]
    assert GiftException.objects.get().kind == "sent elsewhere"


def test_a_transfer_that_has_not_cleared_is_not_refunded(treasurer: Person) -> None:
    gift = by_transfer(treasurer, 50_000, supporter(treasurer), on=date(2026, 3, 9))
    before = Entry.objects.count()
    with pytest.raises(NotReady, match="has not cleared yet: until 2026-03-19"):
        record_refund(by=treasurer, gift=gift, on=date(2026, 3, 15), reason="sent by mistake")
    assert Entry.objects.count() == before
    with clock.at(date(2026, 3, 19)):
        back = record_refund(by=treasurer, gift=gift, on=date(2026, 3, 19), reason="sent by mistake")
    assert lines_of(back.entry) == [
        ("4900", "general", "500.00", "S-0001"),
        ("1000", "general", "-500.00", ""),
    ]
    assert GiftException.objects.get().kind == "early refund"


def test_a_gift_goes_back_once_by_one_way_only(treasurer: Person) -> None:
    gift = by_card(treasurer, 5000)
    open_dispute(by=treasurer, gift=gift, on=DAY, platform_ref="d1")
    with pytest.raises(AlreadyDone, match="50.00 of G-00001 has gone back before"):
        record_refund(by=treasurer, gift=gift, on=DAY, reason="asked", platform_ref="r1")
    with pytest.raises(BadInput, match="is not a check"):
        return_check(by=treasurer, gift=gift, on=DAY)
    transfer = by_transfer(treasurer, 100, supporter(treasurer))
    with pytest.raises(BadInput, match="did not come through a platform"):
        open_dispute(by=treasurer, gift=transfer, on=DAY, platform_ref="d2")


def tried_out(many: int) -> list[dict[str, str]]:
    """Charges a second apart, each by somebody new."""
    rows = []
    for n in range(many):
        at = f"2026-03-02T04:{n // 60:02}:{n % 60:02}"
        rows.append(taken(f"t{n}", at, "1.00", "0.33", receipt_email=f"x{n}@example.org", to=""))
    return rows


def test_a_burst_of_tiny_gifts_is_card_testing_and_nobody_of_it_a_supporter(treasurer: Person) -> None:
    data = kettle_file(*tried_out(60))
    import_payout(by=treasurer, data=data, filename="burst.csv", layout=kettle_card())
    found = GiftException.objects.get()
    assert (found.kind, found.gifts.count()) == ("card testing", 60)
    assert found.text.startswith("60 gifts of $60.00 in all from strangers in a burst")
    undo_card_testing(by=treasurer, found=found, on=DAY)
    entry = lines_of(Entry.objects.latest("number"))
    assert entry[:60] == [("4900", "general", "1.00", f"S-{n:04}") for n in range(1, 61)]
    assert entry[60:] == [("1032", "general", "-60.00", "")]
    assert str(balance("5300")) == "19.80"  # fees the processor keeps stay a cost
    assert {facts_of(gift).state for gift in Gift.objects.all()} == {"card testing"}
    assert supporters().count() == 0
    assert list(clearing_breaks()) == []


def test_the_platforms_own_refund_rows_find_the_burst_undone(treasurer: Person) -> None:
    rows = tried_out(30)
    import_payout(by=treasurer, data=kettle_file(*rows), filename="burst.csv", layout=kettle_card())
    undo_card_testing(by=treasurer, found=GiftException.objects.get(), on=DAY)
    before = Entry.objects.count()
    paid = [
        *({**row, "payout_id": "P1"} for row in rows),
        *(
            taken(f"r{n}", "2026-03-11", "-1.00", movement="money back", original_id=f"t{n}")
            for n in range(30)
        ),
        to_bank("P1", "2026-03-12", "9.90"),
    ]
    done = import_payout(by=treasurer, data=kettle_file(*paid), filename="p1.csv", layout=kettle_card())
    assert (done.posted, Entry.objects.count()) == (1, before + 1)
    assert set(GiftReturn.objects.values_list("platform_ref", flat=True)) == {f"r{n}" for n in range(30)}
    assert balance("1032") == Money.zero


def test_refund_rows_that_name_no_gift_find_the_burst_undone_too(treasurer: Person) -> None:
    rows = tried_out(30)
    import_payout(by=treasurer, data=kettle_file(*rows), filename="burst.csv", layout=kettle_card())
    undo_card_testing(by=treasurer, found=GiftException.objects.get(), on=DAY)
    paid = [
        *({**row, "payout_id": "P1"} for row in rows),
        *(taken(f"r{n}", "2026-03-11", "-1.00", movement="money back") for n in range(30)),
        taken("r30", "2026-03-11", "-4.00", movement="money back"),
        to_bank("P1", "2026-03-12", "13.90"),
    ]
    data = kettle_file(*paid)
    fates = list(plan_import(read_file(data, kettle_card().spec, today=clock.today()), kettle_card()).tell())
    told = [(fate.fate, fate.why) for fate in fates if fate.ref in ("r0", "r30")]
    assert told == [
        ("already booked", "names no gift; taken for the refund of that amount that was booked by hand"),
        ("new", ""),
    ]
    import_payout(by=treasurer, data=data, filename="p1.csv", layout=kettle_card())
    assert (str(balance("4900")), balance("1032")) == ("34.00", Money.zero)  # 4.00 was another gift's
    assert import_payout(by=treasurer, data=data, filename="p1.csv", layout=kettle_card()).posted == 0


@pytest.mark.parametrize(
    ("rows", "many"),
    [
        (tried_out(3), 0),
        (tried_out(4), 4),
        ([taken(f"t{n}", "2026-03-02", "2.00", to="") for n in range(23)], 0),
        ([taken(f"t{n}", "2026-03-02", "2.00", to="") for n in range(24)], 24),
        ([taken(f"t{n}", "2026-03-02", "40.00", to="") for n in range(40)], 0),
    ],
)
def test_more_than_three_in_a_minute_or_two_dozen_small_ones_a_day(
    treasurer: Person, rows: list[dict[str, str]], many: int
) -> None:
    import_payout(by=treasurer, data=kettle_file(*rows), filename="f.csv", layout=kettle_card())
    assert sum(found.gifts.count() for found in GiftException.objects.filter(kind="card testing")) == many


def ordinary(many: int = 12) -> list[dict[str, str]]:
    return [taken(f"o{n}", f"2026-03-{n + 1:02}", "40.00", receipt_email=f"o{n}@x.org") for n in range(many)]


def test_a_large_first_gift_is_not_promised_while_it_may_be_disputed(treasurer: Person) -> None:
    rows = [
        *ordinary(),
        taken("big", "2026-03-03", "2200.00", "50.00", receipt_email="stranger@example.org"),
        taken("not so big", "2026-03-03", "200.00", receipt_email="other@example.org"),
        to_bank("P1", "2026-03-14", "-2830.00"),
    ]
    import_payout(by=treasurer, data=kettle_file(*rows), filename="f.csv", layout=kettle_card())
    found = GiftException.objects.get()
    assert found.kind == "large first gift"
    assert "first gift of $2,200.00, more than $200.00 (5 times the median)" in found.text
    assert (str(position().bank), str(position().free_to_commit)) == ("2,830.00", "-320.00")
    watched = position().subtractions[-1]
    assert (watched.label, str(watched.amount)) == ("Large first gifts, too young to promise", "2,150.00")
    day = date(2026, 3, 3) + timedelta(days=60)
    assert str(position(day - timedelta(days=1)).free_to_commit) == "-320.00"
    assert str(position(day).free_to_commit) == "1,830.00"


def test_a_large_first_gift_counts_once_somebody_knows_its_giver(treasurer: Person, owner: Person) -> None:
    rows = [*ordinary(), taken("big", "2026-03-03", "2200.00"), to_bank("P1", "2026-03-14", "-2680.00")]
    import_payout(by=treasurer, data=kettle_file(*rows), filename="f.csv", layout=kettle_card())
    resolve_exception(by=owner, found=GiftException.objects.get(), words="spoke to her at the bay")
    assert str(position().free_to_commit) == "1,680.00"


def test_a_large_first_gift_taken_back_is_not_taken_off_twice(treasurer: Person) -> None:
    rows = [*ordinary(), taken("big", "2026-03-03", "2200.00"), to_bank("P1", "2026-03-14", "-2680.00")]
    import_payout(by=treasurer, data=kettle_file(*rows), filename="f.csv", layout=kettle_card())
    back = [
        taken("d1", "2026-03-14", "-2200.00", movement="dispute opened", original_id="big", to="P2"),
        to_bank("P2", "2026-03-15", "2200.00"),
    ]
    import_payout(by=treasurer, data=kettle_file(*back), filename="g.csv", layout=kettle_card())
    assert (str(position().bank), str(position().free_to_commit)) == ("480.00", "-520.00")


def test_somebody_who_gave_before_is_not_watched(treasurer: Person) -> None:
    rows = [
        *ordinary(),
        taken("big", "2026-03-13", "2200.00", receipt_email="o1@x.org"),
        to_bank("P1", "2026-03-14", "-2680.00"),
    ]
    import_payout(by=treasurer, data=kettle_file(*rows), filename="f.csv", layout=kettle_card())
    assert not GiftException.objects.exists()


def test_a_family_asks_for_months_charged_after_a_death(treasurer: Person) -> None:
    giver = supporter(treasurer)
    gifts = [by_card(treasurer, 2500, ref, giver) for ref in ("c1", "c2")]
    for gift in gifts:
        back = record_refund(
            by=treasurer, gift=gift, on=DAY, reason="charged after her death", platform_ref=f"r-{gift.code}"
        )
        assert lines_of(back.entry) == [
            ("4900", "general", "25.00", "S-0001"),
            ("1032", "general", "-25.00", ""),
        ]
    assert ON < DAY
