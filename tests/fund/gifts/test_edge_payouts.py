"""Payouts as platforms really send them, each case played through the import."""

from datetime import date

import pytest

from fund import clock
from fund.access.models import Person
from fund.commitments.queries import position
from fund.gifts.actions_payout import PayoutImport, import_payout
from fund.gifts.actions_platforms import end_hold, note_hold
from fund.gifts.models import Decline, Gift, GiftReturn, Payout, Platform, PlatformFee, Supporter
from fund.gifts.proofs import clearing_breaks, payout_breaks
from fund.gifts.queries import facts_of
from fund.ledger.actions import close_month
from fund.ledger.models import Entry
from fund.ledger.queries import balance
from fund.refusal import AlreadyDone, BadInput
from tests.fund.gifts.files import (
    demo_patch_rows,
    kettle_card,
    kettle_file,
    lines_of,
    patch_circle,
    patch_file,
    pledge,
    sent_back,
    taken,
    to_bank,
    transfer,
)


def post(by: Person, *rows: dict[str, str]) -> PayoutImport:
    return import_payout(by=by, data=patch_file(*rows), filename="patch.csv", layout=patch_circle())


def post_card(by: Person, *rows: dict[str, str]) -> PayoutImport:
    return import_payout(by=by, data=kettle_file(*rows), filename="card.csv", layout=kettle_card())


def whole() -> list[tuple[str, str, str, str]]:
    """Every line of every entry, in order."""
    return [line for entry in Entry.objects.order_by("number") for line in lines_of(entry)]


def sums() -> dict[str, str]:
    return {code: str(balance(code)) for code in ("1000", "1031", "4000", "4900", "5300") if balance(code)}


def nothing_breaks() -> None:
    assert [*clearing_breaks(), *payout_breaks()] == []


def test_a_payout_that_nets_fees_and_a_refund_is_booked_gross(treasurer: Person) -> None:
    with clock.at(date(2026, 4, 2)):
        post(treasurer, *demo_patch_rows())
    assert sums() == {"1000": "1,020.98", "4000": "-1,184.00", "4900": "10.00", "5300": "153.02"}
    nothing_breaks()


def test_charged_on_the_thirtieth_and_paid_out_on_the_third(treasurer: Person) -> None:
    with clock.at(date(2026, 2, 1)):
        post(treasurer, pledge("ch1", "01/30/2026", "20.00", "1.00", to=""))
    assert whole() == [
        ("1031", "general", "20.00", ""),
        ("4000", "general", "-20.00", ""),
        ("5300", "general", "1.00", ""),
        ("1031", "general", "-1.00", ""),
    ]
    assert str(balance("1031", until=date(2026, 1, 31))) == "19.00"
    close_month(by=treasurer, month="2026-01")
    post(
        treasurer,
        pledge("ch1", "01/30/2026", "20.00", "1.00", to="T1"),
        transfer("T1", "02/03/2026", "19.00"),
    )
    entry = Entry.objects.latest("number")
    assert (entry.month, entry.later_change) == ("2026-02", False)
    assert lines_of(entry) == [("1000", "general", "19.00", ""), ("1031", "general", "-19.00", "")]
    assert Gift.objects.get().payout == Payout.objects.get()
    nothing_breaks()


def test_a_refund_whose_fee_the_platform_keeps(treasurer: Person) -> None:
    post(
        treasurer,
        pledge("ch1", "03/02/2026", "10.00", "0.80"),
        pledge("ch2", "03/02/2026", "30.00", "2.40"),
        sent_back("rf1", "03/04/2026", "10.00", of="ch1"),
        transfer("T1", "03/06/2026", "26.80"),
    )
    assert lines_of(Entry.objects.get(document_date=date(2026, 3, 4))) == [
        ("4900", "general", "10.00", ""),
        ("1031", "general", "-10.00", ""),
    ]
    assert str(balance("5300")) == "3.20"


def test_a_fee_is_never_negative_without_a_row_that_gives_it_back(treasurer: Person) -> None:
    with pytest.raises(BadInput) as caught:
        post(treasurer, pledge("ch1", "03/02/2026", "10.00", "-0.80"), transfer("T1", "03/06/2026", "10.80"))
    assert "A fee given back needs a row of its own." in caught.value.details[0]
    post(
        treasurer,
        pledge("ch1", "03/02/2026", "10.00", "0.80"),
        pledge("fb", "03/03/2026", "0.80", What="Service cost returned"),
        transfer("T1", "03/06/2026", "10.00"),
    )
    assert balance("5300").minor == 0
    nothing_breaks()


def test_a_payout_a_cent_off_posts_nothing(treasurer: Person) -> None:
    with pytest.raises(BadInput) as caught:
        post(treasurer, pledge("ch1", "03/02/2026", "10.00", "0.80"), transfer("T1", "03/06/2026", "9.21"))
    assert "but the payout says 9.21: 0.01 too much." in caught.value.details[0]
    assert not Entry.objects.exists()


def test_a_card_that_is_declined_and_succeeds_in_the_next_month(treasurer: Person) -> None:
    member = {"Member No": "m1", "Member": "Ada Moss"}
    with clock.at(date(2026, 2, 20)):
        post(treasurer, pledge("ch1", "01/31/2026", "10.00", **member), transfer("T1", "02/03/2026", "10.00"))
        declined = pledge("no1", "02/20/2026", "10.00", to="", What="Card declined", **member)
        post(treasurer, declined)
    assert Decline.objects.get().supporter == Supporter.objects.get()
    assert Entry.objects.count() == 2  # a declined card moves no money
    post(
        treasurer,
        declined,
        pledge("ch2", "03/04/2026", "10.00", to="T2", **member),
        transfer("T2", "03/06/2026", "10.00"),
    )
    assert Gift.objects.get(platform_ref="ch2").received_on == date(2026, 3, 4)
    assert Decline.objects.count() == 1


def test_two_months_paid_at_once_are_gifts_of_that_day_and_one_supporter(treasurer: Person) -> None:
    member = {"Member No": "m1", "Member": "Ada Moss"}
    post(
        treasurer,
        pledge("ch1", "03/02/2026", "10.00", **member),
        pledge("ch2", "03/02/2026", "10.00", **member),
        transfer("T1", "03/06/2026", "20.00"),
    )
    assert whole()[:3] == [
        ("1031", "general", "20.00", ""),
        ("4000", "general", "-10.00", "S-0001"),
        ("4000", "general", "-10.00", "S-0001"),
    ]
    assert Supporter.objects.count() == 1


def test_the_same_file_twice_posts_nothing(treasurer: Person) -> None:
    rows = (pledge("ch1", "03/02/2026", "10.00", "0.80"), transfer("T1", "03/06/2026", "9.20"))
    post(treasurer, *rows)
    again = post(treasurer, *rows)
    assert (again.posted, again.already, Entry.objects.count()) == (0, 2, 2)


def test_a_dollar_added_to_cover_fees_is_gift_like_the_rest(treasurer: Person) -> None:
    post_card(treasurer, taken("c1", "2026-03-02", "21.00", "1.00"), to_bank("P1", "2026-03-04", "-20.00"))
    assert whole() == [
        ("1032", "general", "21.00", ""),
        ("4000", "general", "-21.00", ""),
        ("5300", "general", "1.00", ""),
        ("1032", "general", "-1.00", ""),
        ("1000", "general", "20.00", ""),
        ("1032", "general", "-20.00", ""),
    ]


def test_a_payout_held_for_review_stays_in_clearing_and_out_of_free_to_commit(treasurer: Person) -> None:
    post_card(treasurer, taken("c1", "2026-03-02", "500.00", "10.00", to=""))
    kettle = Platform.objects.get(code="kettle-card")
    hold = note_hold(by=treasurer, platform=kettle, since=date(2026, 3, 4), words="Review until the 20th")
    assert str(position().clearing) == "490.00"
    assert position().bank.minor == 0
    with pytest.raises(AlreadyDone, match="It is written down already that Kettle Card holds a payout"):
        note_hold(by=treasurer, platform=kettle, since=date(2026, 3, 5), words="again")
    end_hold(by=treasurer, hold=hold, on=date(2026, 3, 10))
    post_card(treasurer, taken("c1", "2026-03-02", "500.00", "10.00"), to_bank("P1", "2026-03-11", "-490.00"))
    assert str(position().bank) == "490.00"
    nothing_breaks()


def test_a_supporter_charged_twice_gets_one_charge_back_the_way_it_came(treasurer: Person) -> None:
    post_card(
        treasurer,
        taken("c1", "2026-03-02", "25.00"),
        taken("c2", "2026-03-02", "25.00"),
        taken("r1", "2026-03-03", "-25.00", movement="money back", original_id="c2"),
        to_bank("P1", "2026-03-04", "-25.00"),
    )
    assert lines_of(Entry.objects.get(document_date=date(2026, 3, 3))) == [
        ("4900", "general", "25.00", ""),
        ("1032", "general", "-25.00", ""),
    ]
    assert [facts_of(gift).state for gift in Gift.objects.order_by("pk")] == ["standing", "refunded"]


def test_a_batch_with_a_dispute_its_fee_a_win_and_a_refund_that_came_back(treasurer: Person) -> None:
    post_card(
        treasurer,
        taken("c1", "2026-03-02", "50.00"),
        taken("c2", "2026-03-02", "40.00"),
        taken("c3", "2026-03-02", "30.00"),
        taken("d1", "2026-03-03", "-50.00", movement="dispute opened", original_id="c1"),
        taken("f1", "2026-03-03", "-15.00", movement="dispute fee"),
        taken("r2", "2026-03-03", "-40.00", movement="money back", original_id="c2"),
        taken("b2", "2026-03-05", "40.00", movement="money back failed", original_id="c2"),
        taken("d3", "2026-03-03", "-30.00", "15.00", movement="dispute lost", original_id="c3"),
        to_bank("P1", "2026-03-06", "-10.00"),
    )
    assert lines_of(Entry.objects.get(document_date=date(2026, 3, 3))) == [
        ("4900", "general", "50.00", ""),
        ("4900", "general", "40.00", ""),
        ("4900", "general", "30.00", ""),
        ("1032", "general", "-120.00", ""),
        ("5310", "general", "30.00", ""),
        ("1032", "general", "-30.00", ""),
    ]
    assert lines_of(Entry.objects.get(document_date=date(2026, 3, 5))) == [
        ("4900", "general", "-40.00", ""),
        ("1032", "general", "40.00", ""),
    ]
    payout = Payout.objects.get()
    assert (str(payout.refunds), str(payout.dispute_fee), str(payout.net)) == ("80.00", "30.00", "10.00")
    states = [facts_of(gift).state for gift in Gift.objects.order_by("pk")]
    assert states == ["in dispute", "standing", "charged back"]
    nothing_breaks()
    post_card(
        treasurer,
        taken("w1", "2026-03-10", "50.00", movement="dispute won", original_id="c1", to="P2"),
        to_bank("P2", "2026-03-12", "-50.00"),
    )
    assert lines_of(Entry.objects.get(document_date=date(2026, 3, 10))) == [
        ("4900", "general", "-50.00", ""),
        ("1032", "general", "50.00", ""),
    ]
    assert GiftReturn.objects.get(platform_ref="d1").outcome == "won"
    assert facts_of(Gift.objects.get(platform_ref="c1")).state == "standing"
    nothing_breaks()


def test_a_dispute_told_lost_later_moves_no_money_again(treasurer: Person) -> None:
    rows = (
        taken("c1", "2026-03-02", "50.00"),
        taken("d1", "2026-03-03", "-50.00", "15.00", movement="dispute opened", original_id="c1"),
        taken("c2", "2026-03-02", "20.00"),
        to_bank("P1", "2026-03-06", "-5.00"),
    )
    post_card(treasurer, *rows)
    before = Entry.objects.count()
    lost = taken("l1", "2026-03-12", "-50.00", movement="dispute lost", original_id="c1", to="")
    post_card(treasurer, lost)
    post_card(treasurer, *rows, lost)
    dispute = GiftReturn.objects.get()
    assert (dispute.outcome, dispute.decided_on, Entry.objects.count()) == ("lost", date(2026, 3, 12), before)
    assert facts_of(Gift.objects.get(platform_ref="c1")).state == "charged back"


def test_nothing_comes_back_again_that_had_not_gone(treasurer: Person) -> None:
    with pytest.raises(BadInput) as caught:
        post_card(
            treasurer,
            taken("c1", "2026-03-02", "50.00"),
            taken("w1", "2026-03-03", "50.00", movement="dispute won", original_id="c1"),
            to_bank("P1", "2026-03-06", "-100.00"),
        )
    assert caught.value.details == ["Row 3: 50.00 would come back again, more than had gone back (c1)."]


def test_fees_of_their_own_rows_say_what_they_were_for(treasurer: Person) -> None:
    post_card(
        treasurer,
        taken("c1", "2026-03-02", "50.00"),
        taken("m1", "2026-03-03", "-5.00", movement="monthly fee"),
        taken("f1", "2026-03-03", "-15.00", movement="dispute fee"),
        to_bank("P1", "2026-03-06", "-30.00"),
    )
    assert list(PlatformFee.objects.order_by("pk").values_list("side", "amount")) == [
        ("processing", balance("5300")),
        ("dispute", balance("5310")),
    ]
    nothing_breaks()
