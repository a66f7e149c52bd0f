"""What a payout file posts: whole entries, once, or nothing at all."""

from datetime import date

import pytest

from fund import clock
from fund.access.models import Person
from fund.gifts.actions_payout import PayoutImport, import_payout
from fund.gifts.models import Gift, GiftReturn, Payout, PayoutFile, PlatformFee
from fund.ledger.actions import add_purpose, close_month
from fund.ledger.models import Entry
from fund.ledger.queries import balance
from fund.money import Money
from fund.refusal import BadInput, NotAllowed
from fund.trail.models import TrailLine
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


def post(by: Person, data: bytes, name: str = "file.csv") -> PayoutImport:
    return import_payout(by=by, data=data, filename=name, layout=patch_circle())


def post_card(by: Person, data: bytes) -> PayoutImport:
    return import_payout(by=by, data=data, filename="card.csv", layout=kettle_card())


def refused(by: Person, data: bytes) -> list[str]:
    with pytest.raises(BadInput) as caught:
        post(by, data)
    assert caught.value.sentence == "The payout file is refused and nothing was posted."
    assert not Entry.objects.exists()
    assert not Gift.objects.exists()
    return caught.value.details


def test_gross_fees_and_a_refund_each_have_their_line(treasurer: Person) -> None:
    done = post(
        treasurer,
        patch_file(
            pledge("ch1", "03/02/2026", "25.00", "2.00", "1.03", Member="Ada Moss", **{"Member No": "m1"}),
            pledge("ch2", "03/02/2026", "10.00", "0.80", "0.59", Member="Bo Finch", **{"Member No": "m2"}),
            sent_back("rf1", "03/05/2026", "10.00", of="ch2"),
            transfer("T1", "03/06/2026", "20.58"),
        ),
    )
    gifts, refund, payout = Entry.objects.order_by("number")
    assert [entry.kind for entry in (gifts, refund, payout)] == ["payout gifts", "payout gifts", "payout"]
    assert (gifts.document_date, refund.document_date, payout.document_date) == (
        date(2026, 3, 2), date(2026, 3, 5), date(2026, 3, 6),
    )  # fmt: skip
    assert lines_of(gifts) == [
        ("1031", "general", "35.00", ""),
        ("4000", "general", "-25.00", "S-0001"),
        ("4000", "general", "-10.00", "S-0002"),
        ("5300", "general", "2.80", ""),
        ("5300", "general", "1.62", ""),
        ("1031", "general", "-4.42", ""),
    ]
    assert lines_of(refund) == [("4900", "general", "10.00", "S-0002"), ("1031", "general", "-10.00", "")]
    assert lines_of(payout) == [("1000", "general", "20.58", ""), ("1031", "general", "-20.58", "")]
    assert (done.posted, done.already, done.gifts) == (4, 0, 2)
    assert GiftReturn.objects.get().gift == Gift.objects.get(platform_ref="ch2")


def test_a_refund_leaves_the_fee_the_platform_keeps(treasurer: Person) -> None:
    post(
        treasurer,
        patch_file(
            pledge("ch1", "03/02/2026", "30.00", "1.00", "0.50"),
            pledge("ch2", "03/02/2026", "10.00", "0.80", "0.59"),
            sent_back("rf1", "03/05/2026", "10.00", of="ch2"),
            transfer("T1", "03/06/2026", "27.11"),
        ),
    )
    assert (str(balance("4900")), str(balance("5300"))) == ("10.00", "2.89")


def test_a_gift_belongs_to_the_month_of_its_charge_and_waits_in_clearing(treasurer: Person) -> None:
    with clock.at(date(2026, 3, 4)):
        post(
            treasurer,
            patch_file(
                pledge("ch1", "02/27/2026", "25.00", "2.00", "1.03"), transfer("T1", "03/03/2026", "21.97")
            ),
        )
    gift, payout = Entry.objects.order_by("number")
    assert (gift.month, payout.month) == ("2026-02", "2026-03")
    assert str(balance("1031", until=date(2026, 2, 28))) == "21.97"
    assert balance("1031") == Money.zero


def test_a_gift_of_a_closed_month_is_posted_in_the_open_one_and_keeps_its_day(treasurer: Person) -> None:
    post(
        treasurer,
        patch_file(pledge("ch0", "02/02/2026", "5.00", to="T0"), transfer("T0", "02/03/2026", "5.00")),
    )
    close_month(by=treasurer, month="2026-02")
    post(treasurer, patch_file(pledge("ch1", "02/27/2026", "25.00"), transfer("T1", "03/03/2026", "25.00")))
    late = Gift.objects.get(platform_ref="ch1").entry
    assert late is not None
    assert (late.document_date, late.posting_date, late.later_change) == (
        date(2026, 2, 27),
        date(2026, 3, 1),
        True,
    )


def test_restricted_money_moves_whole_and_fees_come_out_of_general(treasurer: Person) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires")
    post_card(
        treasurer,
        kettle_file(
            taken("c1", "2026-03-02", "40.00", "1.46"),
            taken("c2", "2026-03-02", "150.00", "3.60", giver_note_code="tires", card_name="Rowan Ames"),
            to_bank("P1", "2026-03-05", "-184.94"),
        ),
    )
    gifts, payout = Entry.objects.order_by("number")
    assert lines_of(gifts) == [
        ("1032", "general", "40.00", ""),
        ("1032", "tires", "150.00", ""),
        ("4000", "general", "-40.00", ""),
        ("4010", "tires", "-150.00", "S-0001"),
        ("5300", "general", "5.06", ""),
        ("1032", "general", "-5.06", ""),
    ]
    assert lines_of(payout) == [
        ("1000", "general", "34.94", ""),
        ("1032", "general", "-34.94", ""),
        ("1000", "tires", "150.00", ""),
        ("1032", "tires", "-150.00", ""),
    ]


def test_a_gift_that_covers_the_fee_is_a_gift_whole(treasurer: Person) -> None:
    post(
        treasurer,
        patch_file(pledge("ch1", "03/02/2026", "21.00", "1.00"), transfer("T1", "03/03/2026", "20.00")),
    )
    assert lines_of(Entry.objects.get(kind="payout gifts")) == [
        ("1031", "general", "21.00", ""),
        ("4000", "general", "-21.00", ""),
        ("5300", "general", "1.00", ""),
        ("1031", "general", "-1.00", ""),
    ]


def test_a_supporter_who_wants_no_name_in_public_is_named_in_the_books(treasurer: Person) -> None:
    row = pledge(
        "ch1", "03/02/2026", "21.00", Member="Ada Moss", **{"Member No": "m1", "Keep Private": "Yes"}
    )
    post(treasurer, patch_file(row, transfer("T1", "03/03/2026", "21.00")))
    gift = Gift.objects.get()
    assert gift.supporter is not None
    assert (gift.supporter.name, gift.supporter.anonymous) == ("Ada Moss", True)
    assert lines_of(gift.entry)[1] == ("4000", "general", "-21.00", "S-0001")


def test_a_chargeback_takes_its_dispute_fee_along(treasurer: Person) -> None:
    post(treasurer, patch_file(pledge("ch1", "03/02/2026", "50.00"), transfer("T1", "03/03/2026", "50.00")))
    post(
        treasurer,
        patch_file(
            pledge("ch2", "03/09/2026", "100.00", to="T2"),
            sent_back(
                "d1", "03/10/2026", "50.00", of="ch1", to="T2", What="Card dispute", **{"Card Cost": "15.00"}
            ),
            transfer("T2", "03/11/2026", "35.00"),
        ),
    )
    entry = GiftReturn.objects.get(kind="chargeback").entry
    assert lines_of(entry) == [
        ("4900", "general", "50.00", ""),
        ("1031", "general", "-50.00", ""),
        ("5310", "general", "15.00", ""),
        ("1031", "general", "-15.00", ""),
    ]
    assert str(Payout.objects.get(ref="T2").dispute_fee) == "15.00"


def test_fees_of_their_own_row_and_fees_given_back(treasurer: Person) -> None:
    own = {"What": "Service cost"}
    post(
        treasurer,
        patch_file(
            pledge("ch1", "03/02/2026", "50.00"),
            pledge("f1", "03/02/2026", "7.00", **own),
            pledge("f2", "03/04/2026", "2.00", What="Service cost returned"),
            transfer("T1", "03/05/2026", "45.00"),
        ),
    )
    back = PlatformFee.objects.get(platform_ref="f2")
    assert lines_of(back.entry) == [("5300", "general", "-2.00", ""), ("1031", "general", "2.00", "")]
    assert (str(back.amount), str(balance("5300")), balance("1031")) == ("-2.00", "5.00", Money.zero)


def test_a_payout_that_is_a_cent_off_is_refused_with_the_difference(treasurer: Person) -> None:
    rows = demo_patch_rows()
    rows[-1] = transfer("T3", "03/31/2026", "1020.97")
    with clock.at(date(2026, 4, 1)):
        details = refused(treasurer, patch_file(*rows))
    assert details == [
        "Payout T3: gifts 1,184.00 - fees 153.02 - returned 10.00 = 1,020.98, but the payout says 1,020.97: 0.01 too little."
    ]
    assert not Payout.objects.exists()
    assert not PayoutFile.objects.exists()


def test_every_bad_row_is_named_and_nothing_is_posted(treasurer: Person) -> None:
    details = refused(
        treasurer,
        patch_file(
            pledge("ch1", "03/02/2026", "25.00", "-2.00"),
            pledge("ch2", "2026-03-02", "25.00"),
            pledge("ch3", "03/02/2026", "25.00"),
            transfer("T1", "03/06/2026", "25.00"),
        ),
    )
    assert [detail.split(":")[0] for detail in details] == [
        "Row 2, column “Platform Share”",
        "Row 3, column “Charged On”",
    ]


def test_a_payout_without_its_rows_and_rows_without_their_payout_are_refused(treasurer: Person) -> None:
    assert refused(treasurer, patch_file(pledge("ch1", "03/02/2026", "25.00", to="T9"))) == [
        "Row 2, column “Transfer No”: payout T9 has no payout row in this file. Export the whole payout."
    ]
    assert refused(treasurer, patch_file(transfer("T1", "03/06/2026", "25.00")))[0].endswith(
        "25.00 too much."
    )


def test_a_purpose_the_books_do_not_have_is_refused(treasurer: Person) -> None:
    rows = [taken("c1", "2026-03-02", "9.00", giver_note_code="tires"), to_bank("P1", "2026-03-05", "-9.00")]
    with pytest.raises(BadInput) as caught:
        post_card(treasurer, kettle_file(*rows))
    assert caught.value.details == [
        "Row 2: the purpose “tires” is not in the books. Add it in the giver's words first."
    ]


def test_no_gift_goes_back_for_more_than_was_given(treasurer: Person) -> None:
    rows = [
        pledge("ch1", "03/02/2026", "25.00"),
        sent_back("rf1", "03/03/2026", "20.00", of="ch1"),
        sent_back("rf2", "03/04/2026", "6.00", of="ch1"),
        transfer("T1", "03/06/2026", "-1.00"),
    ]
    assert refused(treasurer, patch_file(*rows)) == ["Row 4: 26.00 would go back of a gift of 25.00 (ch1)."]


def test_the_same_file_twice_posts_nothing_the_second_time(treasurer: Person) -> None:
    data = patch_file(pledge("ch1", "03/02/2026", "25.00"), transfer("T1", "03/06/2026", "25.00"))
    post(treasurer, data)
    again = post(treasurer, data, "the same under another name.csv")
    assert (again.posted, again.already) == (0, 2)
    assert again.sentence == "0 posted, 2 already booked."
    assert Entry.objects.count() == 2
    assert TrailLine.objects.filter(action="payout.import").count() == 1


def test_an_overlapping_file_posts_only_the_new_payout(treasurer: Person) -> None:
    first = [pledge("ch1", "03/02/2026", "25.00"), transfer("T1", "03/06/2026", "25.00")]
    post(treasurer, patch_file(*first))
    second = post(
        treasurer,
        patch_file(
            *first, pledge("ch2", "03/07/2026", "9.00", to="T2"), transfer("T2", "03/08/2026", "9.00")
        ),
    )
    assert (second.posted, second.already) == (2, 2)
    assert balance("1031") == Money.zero


def test_rows_of_an_earlier_payout_do_not_count_again_under_a_new_one(treasurer: Person) -> None:
    post(treasurer, patch_file(pledge("ch1", "03/02/2026", "25.00"), transfer("T1", "03/06/2026", "25.00")))
    overlapping = [
        pledge("ch1", "03/02/2026", "25.00", to="T2"),
        pledge("ch2", "03/07/2026", "9.00", to="T2"),
    ]
    post(treasurer, patch_file(*overlapping, transfer("T2", "03/08/2026", "9.00")))
    assert Payout.objects.get(ref="T2").gross == Money(900)
    assert Gift.objects.get(platform_ref="ch1").payout == Payout.objects.get(ref="T1")


def test_a_booked_payout_cannot_grow(treasurer: Person) -> None:
    post(treasurer, patch_file(pledge("ch1", "03/02/2026", "25.00"), transfer("T1", "03/06/2026", "25.00")))
    with pytest.raises(BadInput) as caught:
        post(
            treasurer, patch_file(pledge("ch2", "03/02/2026", "5.00"), transfer("T1", "03/06/2026", "30.00"))
        )
    assert caught.value.details == [
        "Payout T1 is already booked as 25.00 and cannot grow, but the file adds rows to it: 2. "
        "Ask the platform which payout they belong to."
    ]


def test_a_past_row_that_changed_is_refused(treasurer: Person) -> None:
    post(treasurer, patch_file(pledge("ch1", "03/02/2026", "25.00"), transfer("T1", "03/06/2026", "25.00")))
    with pytest.raises(BadInput) as caught:
        post(
            treasurer, patch_file(pledge("ch1", "03/02/2026", "26.00"), transfer("T1", "03/06/2026", "26.00"))
        )
    assert caught.value.details[0] == (
        "Row 2: ch1 is already booked as a gift of 25.00 with fees 0.00; the file says gift of 26.00 with fees 0.00. "
        "A past row never changes."
    )


def test_charges_not_paid_out_yet_wait_in_clearing_and_join_their_payout(treasurer: Person) -> None:
    waiting = [
        pledge("ch1", "02/27/2026", "25.00", "2.00", to=""),
        pledge("ch2", "02/28/2026", "9.00", to=""),
    ]
    post(treasurer, patch_file(*waiting))
    assert str(balance("1031")) == "32.00"
    paid = [{**row, "Transfer No": "T1"} for row in waiting]
    done = post(
        treasurer,
        patch_file(*paid, pledge("ch3", "03/01/2026", "5.00"), transfer("T1", "03/03/2026", "37.00")),
    )
    assert (done.posted, done.already) == (2, 2)
    assert balance("1031") == Money.zero
    assert Gift.objects.filter(payout=Payout.objects.get()).count() == 3


def test_only_a_treasurer_posts_a_payout(owner: Person, volunteer: Person) -> None:
    for person in (owner, volunteer):
        with pytest.raises(NotAllowed, match="Only a treasurer may post a payout"):
            post(
                person,
                patch_file(pledge("ch1", "03/02/2026", "25.00"), transfer("T1", "03/06/2026", "25.00")),
            )


def test_rows_of_a_year_long_before_the_books_are_refused_by_row(treasurer: Person) -> None:
    post(
        treasurer,
        patch_file(pledge("ch0", "02/02/2026", "5.00", to="T0"), transfer("T0", "02/03/2026", "5.00")),
    )
    rows = (pledge("ch1", "11/03/2003", "5.00"), transfer("T1", "03/04/2026", "5.00"))
    with pytest.raises(BadInput) as told:
        post(treasurer, patch_file(*rows))
    assert told.value.details == [
        "Row 2, column “Charged On”: 2003-11-03 is before 2025-02-01, the first day that these books take. "
        "Export a later period."
    ]
    assert Gift.objects.count() == 1
