"""What goes wrong between a volunteer's pocket and the fund's account, each with its whole entry."""

from datetime import date, timedelta

import pytest
from django.contrib.auth.models import Group

from fund import clock
from fund.access.models import Person
from fund.bank.actions import confirm
from fund.gifts.actions_cash import count_cash
from fund.gifts.models import Gift
from fund.ledger.models import Entry
from fund.ledger.queries import balance
from fund.letters.actions import write_gift_letter
from fund.money import Money
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.actions_cores import return_core
from fund.receipts.models import CoreDeposit, Receipt
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotEnoughMoney, NotReady, TwoPeopleNeeded
from fund.repayments.actions import cancel_repayment, prepare_repayment, release_repayment
from fund.repayments.actions_advances import cancel_advance, prepare_advance, release_advance, return_advance
from fund.repayments.actions_checks import stop_check
from fund.repayments.actions_due import record_overpayment, settle_due
from fund.repayments.actions_given import give_back
from fund.repayments.actions_mileage import add_mileage_rate, enter_mileage, take_back_mileage
from fund.repayments.actions_petty import count_petty_cash, set_petty_cash, top_up_petty_cash
from fund.repayments.models import Repayment
from fund.repayments.queries import advance_of, due_from, open_claims, owed_row, owed_to
from fund.repayments.queries_held import open_advances, uncashed
from tests.fund.bank.acts import AFTER, bring
from tests.fund.bank.acts import line as bank_line
from tests.fund.bank.files import trn
from tests.fund.receipts.makers import bought, entry_lines, line, m, open_repair, paper

DAY = date(2026, 3, 12)


def own(by: Person, amount: str, number: str = "1", on: date = date(2026, 3, 3)) -> Receipt:
    data = paper(by, amount, "0.00", line("rags", amount, "supplies"), number=number, on=on)
    return bought(by, data)


def pay(treasurer: Person, owner: Person, person: Person, *receipts: Receipt, **more: object) -> Repayment:
    prepared = prepare_repayment(
        papers_seen=True, by=treasurer, person=person, receipts=receipts, on=DAY,
        **more,  # type: ignore[arg-type]
    )  # fmt: skip
    return release_repayment(by=owner, repayment=prepared)


def also(person: Person, role: str) -> Person:
    person.groups.add(Group.objects.get(name=role))
    return Person.objects.get(pk=person.pk)


def test_a_volunteer_repaid_twice_owes_the_second_payment_and_brings_it_back(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    pay(treasurer, owner, volunteer, own(volunteer, "161.29"))
    twice = record_overpayment(
        by=treasurer, person=volunteer, amount=m("161.29"), on=DAY, reason="in cash and by transfer"
    )
    assert entry_lines(twice.number) == [("1130", "161.29", "", "tavi"), ("1000", "-161.29", "", "")]
    back = settle_due(by=treasurer, person=volunteer, amount=m("161.29"), on=DAY)
    assert entry_lines(back.number) == [("1000", "161.29", "", ""), ("1130", "-161.29", "", "tavi")]
    assert (due_from(volunteer), balance("2010")) == (Money.zero, Money.zero)


def test_an_overpayment_out_of_petty_cash_and_what_it_refuses(
    bank: None, volunteer: Person, treasurer: Person
) -> None:
    set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("100.00"), on=date(2026, 3, 2))
    said = {"person": volunteer, "on": DAY, "reason": "counted wrongly"}
    entry = record_overpayment(by=treasurer, amount=m("20.00"), out_of="petty cash", **said)  # type: ignore[arg-type]
    assert entry_lines(entry.number) == [("1130", "20.00", "", "tavi"), ("1020", "-20.00", "", "")]
    with pytest.raises(NotEnoughMoney, match="holds 80.00"):
        record_overpayment(by=treasurer, amount=m("80.01"), out_of="petty cash", **said)  # type: ignore[arg-type]
    with pytest.raises(BadInput, match="how it happened"):
        record_overpayment(by=treasurer, person=volunteer, amount=m("1.00"), on=DAY, reason=" ")
    with pytest.raises(TwoPeopleNeeded):
        record_overpayment(by=treasurer, person=treasurer, amount=m("1.00"), on=DAY, reason="x")


def test_an_advance_is_spent_and_the_rest_comes_back(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    open_repair(treasurer, "RO-0001")
    asked = prepare_advance(by=treasurer, person=volunteer, amount=m("200.00"), reason="brake parts", on=DAY)
    assert balance("1140") == Money.zero
    given = release_advance(by=owner, advance=asked)
    assert entry_lines(given.entry_id) == [("1140", "200.00", "", "tavi"), ("1000", "-200.00", "", "")]
    pads = line("pads", "135.31", ("part", "RO-0001"))
    oil = line("oil", "25.98", "shelf")
    spent = bought(
        volunteer, paper(volunteer, "161.29", "0.00", pads, oil, number="8", on=DAY, tender="advance")
    )
    assert entry_lines(spent.entry_id) == [
        ("5000", "135.31", "RO-0001", ""),
        ("1200", "25.98", "", ""),
        ("1140", "-161.29", "", "tavi"),
    ]
    assert [(str(one.left), one.over) for one in open_advances()] == [("38.71", 0)]
    back = return_advance(by=treasurer, person=volunteer, amount=m("38.71"), on=date(2026, 3, 14))
    assert entry_lines(back.number) == [("1000", "38.71", "", ""), ("1140", "-38.71", "", "tavi")]
    assert (open_advances(), advance_of(volunteer), owed_to(volunteer)) == ([], Money.zero, Money.zero)


def test_an_advance_past_a_hundred_and_twenty_days_is_flagged_and_no_new_one_is_given(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    """The IRS's accountable-plan rules: what is not spent comes back within 120 days."""
    asked = prepare_advance(by=treasurer, person=volunteer, amount=m("200.00"), reason="parts", on=DAY)
    release_advance(by=owner, advance=asked)
    with clock.at(date(2026, 7, 11)):
        assert open_advances()[0].over == 1
        with pytest.raises(NotReady, match="still holds 200.00 of AD-0001, 1 days past its limit"):
            prepare_advance(by=treasurer, person=volunteer, amount=m("5.00"), reason="more", on=DAY)
    with clock.at(date(2026, 7, 10)):
        assert open_advances()[0].over == 0


def test_a_receipt_above_the_advance_is_own_money_and_the_advance_is_kept_from_the_payment(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    asked = prepare_advance(by=treasurer, person=volunteer, amount=m("100.00"), reason="parts", on=DAY)
    release_advance(by=owner, advance=asked)
    data = paper(volunteer, "161.29", "0.00", line("rags", "161.29", "supplies"), tender="advance")
    with pytest.raises(NotEnoughMoney, match="holds 100.00 in advance, not 161.29"):
        bought(volunteer, data)
    Receipt.objects.all().delete()
    paid = pay(treasurer, owner, volunteer, own(volunteer, "161.29"), keep=True)
    assert entry_lines(paid.entry_id) == [
        ("2010", "161.29", "", "tavi"),
        ("1140", "-100.00", "", "tavi"),
        ("1000", "-61.29", "", ""),
    ]
    assert (paid.paid, advance_of(volunteer)) == (m("61.29"), Money.zero)


def test_nobody_gets_an_advance_through_their_own_hands(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    with pytest.raises(TwoPeopleNeeded, match="for themselves"):
        prepare_advance(by=treasurer, person=treasurer, amount=m("5.00"), reason="x", on=DAY)
    asked = prepare_advance(by=treasurer, person=owner, amount=m("5.00"), reason="x", on=DAY)
    with pytest.raises(TwoPeopleNeeded, match="for themselves"):
        release_advance(by=owner, advance=asked)
    assert cancel_advance(by=treasurer, advance=asked).state == "cancelled"
    with pytest.raises(AlreadyDone):
        cancel_advance(by=treasurer, advance=asked)


def test_what_a_member_has_of_the_funds_does_not_come_back_before_they_had_it(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    asked = prepare_advance(by=treasurer, person=volunteer, amount=m("200.00"), reason="brake parts", on=DAY)
    release_advance(by=owner, advance=asked)
    said = {"by": treasurer, "person": volunteer}
    record_overpayment(amount=m("20.00"), on=DAY, reason="twice", **said)  # type: ignore[arg-type]
    before = DAY - timedelta(days=1)
    with pytest.raises(
        BadInput, match=f"On {before} Tavi Brandt had 0.00 of the fund's to bring back, not 50.00"
    ):
        return_advance(amount=m("50.00"), on=before, **said)
    with pytest.raises(BadInput, match="had 0.00 of the fund's to bring back, not 20.00"):
        settle_due(amount=m("20.00"), on=before, **said)
    for act in (return_advance, settle_due):
        with pytest.raises(BadInput, match="1990-01-05 is before 2025-03-01"):
            act(amount=m("20.00"), on=date(1990, 1, 5), **said)
    with pytest.raises(BadInput, match="1990-01-05 is before 2025-03-01"):
        record_overpayment(amount=m("1.00"), on=date(1990, 1, 5), reason="x", **said)  # type: ignore[arg-type]


def test_an_advance_is_not_paid_out_of_a_bank_that_does_not_have_it(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    asked = prepare_advance(by=treasurer, person=volunteer, amount=m("99999.00"), reason="tires", on=DAY)
    with pytest.raises(NotEnoughMoney, match="holds 10,000.00 for general use; 99,999.00 cannot leave it"):
        release_advance(by=owner, advance=asked)
    assert (balance("1140"), asked.state) == (Money.zero, "prepared")


def test_petty_cash_three_short_at_the_count_is_booked_and_topped_up(
    bank: None, volunteer: Person, volunteer2: Person, treasurer: Person
) -> None:
    set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("100.00"), on=date(2026, 3, 2))
    count = count_petty_cash(by=volunteer, seen_by=volunteer2, counted=m("97.00"), on=DAY)
    assert sorted(entry_lines(count.entry_id)) == [("1020", "-3.00", "", ""), ("5320", "3.00", "", "")]
    top_up = top_up_petty_cash(by=treasurer, on=DAY)
    assert entry_lines(top_up.number) == [("1020", "3.00", "", ""), ("1000", "-3.00", "", "")]


def test_a_volunteer_gives_back_what_is_owed_as_a_signed_gift_of_money(
    bank: None, volunteer: Person, treasurer: Person
) -> None:
    claim = own(volunteer, "86.60")
    given = give_back(by=volunteer, receipts=[claim], signed="tavi  brandt", on=DAY)
    supporter = Gift.objects.get().supporter
    assert supporter is not None
    assert entry_lines(given.entry_id) == [
        ("2010", "86.60", "", "tavi"),
        ("4000", "-86.60", "", supporter.code),
    ]
    assert (given.state, owed_to(volunteer), open_claims(volunteer)) == ("given", Money.zero, [])
    letter = write_gift_letter(by=treasurer, gift=Gift.objects.get())
    assert (letter.to_name, letter.amount) == ("Tavi Brandt", m("86.60"))
    with pytest.raises(AlreadyDone, match="in repayment P-0001 already"):
        prepare_repayment(papers_seen=True, by=treasurer, person=volunteer, receipts=[claim], on=DAY)


def test_giving_back_is_signed_with_ones_own_name_and_for_ones_own_claims(
    bank: None, volunteer: Person, volunteer2: Person
) -> None:
    claim = own(volunteer, "86.60")
    with pytest.raises(BadInput, match="Sign with your own name, Tavi Brandt"):
        give_back(by=volunteer, receipts=[claim], signed="Jun Okafor", on=DAY)
    with pytest.raises(BadInput, match="not a posted receipt paid with Jun Okafor"):
        give_back(by=volunteer2, receipts=[claim], signed="Jun Okafor", on=DAY)
    assert Gift.objects.count() == 0


def test_a_part_never_to_be_repaid_is_a_gift_of_goods_that_a_letter_describes(
    bank: None, volunteer: Person, treasurer: Person
) -> None:
    open_repair(treasurer, "RO-0001")
    thermostat = line("thermostat", "60.00", ("part", "RO-0001"))
    receipt = bought(volunteer, paper(volunteer, "60.00", "0.00", thermostat, tender="given"))
    assert entry_lines(receipt.entry_id) == [
        ("5000", "60.00", "RO-0001", ""),
        ("4020", "-60.00", "", "tavi"),
    ]
    assert owed_to(volunteer) == Money.zero
    letter = write_gift_letter(by=treasurer, gift=Gift.objects.get())
    assert "thermostat" in letter.words["opening"]
    assert (letter.amount, "60" in str(letter.words)) == (Money.zero, False)


def test_forty_miles_for_parts_are_owed_at_fourteen_cents(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    """IRS standard mileage rates: 14 cents a mile in the service of a charity (Internal Revenue Code 170(i))."""
    drive = enter_mileage(by=volunteer, person=volunteer, on=DAY, tenths=400, reason="parts run")
    assert entry_lines(drive.entry_id) == [("5500", "5.60", "", ""), ("2010", "-5.60", "", "tavi")]
    prepared = prepare_repayment(
        papers_seen=True, by=treasurer, person=volunteer, receipts=[], mileage=[drive], on=DAY
    )
    paid = release_repayment(by=owner, repayment=prepared)
    assert entry_lines(paid.entry_id) == [("2010", "5.60", "", "tavi"), ("1000", "-5.60", "", "")]
    assert owed_row(volunteer).receipts == 0


def test_thirty_seven_miles_come_to_five_eighteen_at_the_rate_of_their_day(
    bank: None, volunteer: Person, owner: Person
) -> None:
    add_mileage_rate(by=owner, tenths=200, valid_from=date(2026, 3, 14), source="invented for this test")
    before = enter_mileage(by=volunteer, person=volunteer, on=DAY, tenths=370, reason="parts run")
    after = enter_mileage(
        by=volunteer, person=volunteer, on=date(2026, 3, 14), tenths=370, reason="parts run"
    )
    assert (before.amount, after.amount) == (m("5.18"), m("7.40"))


def test_miles_entered_twice_or_too_many_are_refused_and_wrong_ones_taken_back(
    bank: None, volunteer: Person, volunteer2: Person, treasurer: Person
) -> None:
    drive = enter_mileage(by=volunteer, person=volunteer, on=DAY, tenths=400, reason="parts run")
    with pytest.raises(AlreadyDone, match="MI-0001 already"):
        enter_mileage(by=volunteer, person=volunteer, on=DAY, tenths=400, reason="Parts run")
    with pytest.raises(BadInput, match="up to 2,000"):
        enter_mileage(by=volunteer, person=volunteer, on=DAY, tenths=20_001, reason="x")
    with pytest.raises(NotReady, match="no mileage rate"):
        enter_mileage(by=volunteer, person=volunteer, on=date(2021, 12, 31), tenths=10, reason="x")
    with pytest.raises(NotAllowed):
        take_back_mileage(by=volunteer2, mileage=drive, reason="wrong day")
    take_back_mileage(by=volunteer, mileage=drive, reason="wrong day")
    assert (owed_to(volunteer), balance("2010"), balance("5500")) == (Money.zero,) * 3
    with pytest.raises(BadInput, match="not miles that Tavi Brandt drove"):
        prepare_repayment(
            papers_seen=True, by=treasurer, person=volunteer, receipts=[], mileage=[drive], on=DAY
        )


def test_a_check_never_cashed_is_stopped_and_what_it_paid_is_owed_and_paid_anew(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    claim = own(volunteer, "86.60")
    first = pay(treasurer, owner, volunteer, claim, way="check", check_number="301")
    with clock.at(date(2026, 7, 11)):
        assert [(one.repayment.code, one.over) for one in uncashed()] == [("P-0001", True)]
        stopped = stop_check(by=treasurer, repayment=first, on=date(2026, 7, 11), reason="lost in the mail")
        assert entry_lines(stopped.stop_entry_id) == [
            ("1000", "86.60", "", ""),
            ("2010", "-86.60", "", "tavi"),
        ]
        assert (owed_to(volunteer), uncashed()) == (m("86.60"), [])
        again = prepare_repayment(
            papers_seen=True,
            by=treasurer,
            person=volunteer,
            receipts=[claim],
            on=date(2026, 7, 11),
            way="check",
            check_number="317",
        )
        paid = release_repayment(by=owner, repayment=again)
        assert entry_lines(paid.entry_id) == [("2010", "86.60", "", "tavi"), ("1000", "-86.60", "", "")]
    assert [item.code for item in stopped.items.all()] == ["R-00001"]
    assert balance("2010") == Money.zero


def test_stopping_a_check_costs_what_the_bank_charges_and_undoes_what_was_kept(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    record_overpayment(by=treasurer, person=volunteer, amount=m("20.00"), on=DAY, reason="too much")
    paid = pay(
        treasurer, owner, volunteer, own(volunteer, "86.60"), way="check", check_number="301", keep=True
    )
    assert entry_lines(paid.entry_id) == [
        ("2010", "86.60", "", "tavi"),
        ("1130", "-20.00", "", "tavi"),
        ("1000", "-66.60", "", ""),
    ]
    stopped = stop_check(by=treasurer, repayment=paid, on=DAY, reason="lost", bank_fee=m("30.00"))
    assert entry_lines(stopped.stop_entry_id) == [
        ("1000", "66.60", "", ""),
        ("1130", "20.00", "", "tavi"),
        ("2010", "-86.60", "", "tavi"),
        ("5310", "30.00", "", ""),
        ("1000", "-30.00", "", ""),
    ]
    assert due_from(volunteer) == m("20.00")


def test_a_check_that_the_bank_has_shown_is_not_stopped(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    paid = pay(treasurer, owner, volunteer, own(volunteer, "86.60"), way="check", check_number="301")
    bring(treasurer, [trn("a1", "20260313", "-86.60", check="301")], "413.40")
    with clock.at(AFTER):
        confirm(by=treasurer, lines=[bank_line("-86.60")], entries=[Entry.objects.get(source=paid.code)])
    assert uncashed() == []
    with pytest.raises(NotReady, match="it was cashed"):
        stop_check(by=treasurer, repayment=paid, on=DAY, reason="lost")


def test_only_a_paid_check_is_stopped_and_not_by_who_it_is_for(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    by_transfer = pay(treasurer, owner, volunteer, own(volunteer, "86.60"))
    with pytest.raises(BadInput, match="not a check"):
        stop_check(by=treasurer, repayment=by_transfer, on=DAY, reason="x")
    check = pay(treasurer, owner, volunteer, own(volunteer, "5.00", "2"), way="check", check_number="9")
    with pytest.raises(TwoPeopleNeeded):
        stop_check(by=also(volunteer, "treasurer"), repayment=check, on=DAY, reason="x")
    with pytest.raises(BadInput, match="cannot have been stopped"):
        stop_check(by=treasurer, repayment=check, on=date(2026, 3, 11), reason="x")


def test_a_core_refund_on_a_volunteers_card_is_kept_from_what_is_owed_to_them(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    core = line("core", "55.00", "core", taxable=False)
    bought(volunteer, paper(volunteer, "55.00", "0.00", core, number="c", tender="fund_card"))
    ended = return_core(
        by=volunteer,
        core=CoreDeposit.objects.get(),
        amount_back=m("55.00"),
        on=DAY,
        kind="full",
        to="crew",
        person=volunteer,
    )
    assert entry_lines(ended.entry_id) == [("1130", "55.00", "", "tavi"), ("1110", "-55.00", "", "")]
    paid = pay(treasurer, owner, volunteer, own(volunteer, "161.29"), keep=True)
    assert entry_lines(paid.entry_id) == [
        ("2010", "161.29", "", "tavi"),
        ("1130", "-55.00", "", "tavi"),
        ("1000", "-106.29", "", ""),
    ]


def test_a_payment_is_not_released_when_what_was_to_be_kept_has_been_paid_since(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    record_overpayment(by=treasurer, person=volunteer, amount=m("20.00"), on=DAY, reason="too much")
    claim = own(volunteer, "86.60")
    prepared = prepare_repayment(
        papers_seen=True, by=treasurer, person=volunteer, receipts=[claim], on=DAY, keep=True
    )
    settle_due(by=treasurer, person=volunteer, amount=m("20.00"), on=DAY)
    with pytest.raises(NotReady, match="prepare it anew"):
        release_repayment(by=owner, repayment=prepared)
    cancel_repayment(by=treasurer, repayment=prepared, reason="has been paid")
    assert owed_to(volunteer) == m("86.60")


def test_a_tip_for_the_mechanic_goes_to_the_fund_and_gets_no_letter(
    bank: None, volunteer: Person, volunteer2: Person, treasurer: Person
) -> None:
    tip = count_cash(
        by=volunteer, second=volunteer2, on=DAY, place="tip from a household", denominations={2000: 1}
    )
    assert entry_lines(tip.entry_id) == [("1010", "20.00", "", ""), ("4000", "-20.00", "", "")]
    with pytest.raises(BadInput, match="nobody to write to"):
        write_gift_letter(by=treasurer, gift=Gift.objects.get())


def test_a_receipt_older_than_sixty_days_carries_its_flag_into_the_payment(
    bank: None, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    """The IRS's accountable-plan rules: proven within 60 days, else it may be taxable to the one who is paid."""
    data = paper(volunteer, "86.60", "0.00", line("rags", "86.60", "supplies"), on=date(2026, 1, 13))
    draft = save_draft(by=volunteer, data=data)
    Receipt.objects.update(late_reason="found behind the seat")
    late = post_receipt(by=owner, receipt=draft)
    assert entry_lines(late.entry_id) == [("5200", "86.60", "", ""), ("2010", "-86.60", "", "tavi")]
    prepared = prepare_repayment(papers_seen=True, by=treasurer, person=volunteer, receipts=[late], on=DAY)
    assert [item.flag for item in prepared.items.all()] == [
        "handed in after 61 days, may be taxable; paper seen, no photo"
    ]


def test_an_owners_own_claim_is_released_by_the_accountant_when_there_is_no_other_owner(
    bank: None, treasurer: Person, owner: Person, accountant: Person, volunteer: Person
) -> None:
    mine = own(owner, "40.00")
    prepared = prepare_repayment(papers_seen=True, by=treasurer, person=owner, receipts=[mine], on=DAY)
    with pytest.raises(TwoPeopleNeeded, match="for themselves"):
        release_repayment(by=owner, repayment=prepared)
    paid = release_repayment(by=accountant, repayment=prepared)
    assert entry_lines(paid.entry_id) == [("2010", "40.00", "", "maren"), ("1000", "-40.00", "", "")]
    other = prepare_repayment(
        papers_seen=True, by=treasurer, person=volunteer, receipts=[own(volunteer, "5.00", "2")], on=DAY
    )
    with pytest.raises(NotAllowed, match="An owner releases this one"):
        release_repayment(by=accountant, repayment=other)


def test_the_only_treasurers_claim_is_prepared_by_the_owner_and_released_by_the_accountant(
    bank: None, treasurer: Person, owner: Person, accountant: Person
) -> None:
    claim = own(treasurer, "40.00")
    with pytest.raises(TwoPeopleNeeded):
        prepare_repayment(papers_seen=True, by=treasurer, person=treasurer, receipts=[claim], on=DAY)
    prepared = prepare_repayment(papers_seen=True, by=owner, person=treasurer, receipts=[claim], on=DAY)
    with pytest.raises(TwoPeopleNeeded):
        release_repayment(by=owner, repayment=prepared)
    assert release_repayment(by=accountant, repayment=prepared).state == "released"


def test_a_check_has_a_number_and_a_transfer_none(bank: None, volunteer: Person, treasurer: Person) -> None:
    claim = own(volunteer, "5.00")
    for way, number in (("check", ""), ("transfer", "12"), ("cash", "")):
        with pytest.raises(BadInput, match="a check, and only a check, has a number"):
            prepare_repayment(
                papers_seen=True,
                by=treasurer,
                person=volunteer,
                receipts=[claim],
                on=DAY,
                way=way,
                check_number=number,
            )


def test_each_claim_tells_its_age_and_when_to_expect_the_money(bank: None, volunteer: Person) -> None:
    own(volunteer, "86.60")
    enter_mileage(by=volunteer, person=volunteer, on=DAY, tenths=370, reason="parts run")
    assert [(one.code, one.days, one.expected, str(one.amount)) for one in open_claims(volunteer)] == [
        ("R-00001", 12, date(2026, 3, 29), "86.60"),
        ("MI-0001", 3, date(2026, 3, 29), "5.18"),
    ]
