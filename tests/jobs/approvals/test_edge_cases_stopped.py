"""Repairs that stop, change their cause, end cheaper or lie unused: played through the actions of their pages."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client

from fund import clock
from fund.access.models import Person
from fund.commitments.queries import open_for, position
from fund.ledger.models import Entry
from fund.ledger.queries import cost_of
from fund.money import Money
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.actions_claims import settle_claim
from fund.receipts.actions_returns import return_to_shelf, return_to_store
from fund.receipts.models import Receipt, ReceiptPortion
from fund.refusal import NotReady
from jobs.approvals.actions import approve, supplement
from jobs.approvals.queries import cause_approved
from jobs.estimates.actions import request_supplement
from jobs.hours.actions import add_hours
from jobs.hours.models import Skill
from jobs.hours.queries import hours_of_repair
from jobs.repairs.actions import set_cause
from jobs.repairs.actions_steps import cancel, mark_handed_back, mark_tested, start_work
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from reports.month.queries_jobs import repairs_of_month
from tests.conftest import TODAY
from tests.fund.receipts.makers import line, paper
from tests.jobs.approvals.booked import draft_of, last_entry, whole
from tests.jobs.pressed import press
from tests.jobs.workshop import money_in_bank, owner_says_yes, part, ready, without_share

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]


@pytest.fixture
def approved(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner, part(400_00))
    approve(by=owner, repair=repair)
    return repair


@pytest.fixture
def bought(approved: RepairOrder, volunteer: Person) -> Receipt:
    """A part of 110.88 with 9.12 of tax, bought for the approved repair."""
    draft_of(volunteer, approved, "1.00", number="asks about ties first")
    goods = line("wheel bearing", "110.88", ("part", approved.number))
    data = paper(volunteer, "120.00", "9.12", goods, number="61", on=TODAY)
    return post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=data))


def portion_of(receipt: Receipt) -> ReceiptPortion:
    return ReceiptPortion.objects.get(line__receipt=receipt)


def test_cancelled_after_parts_were_bought_the_promise_is_released_and_the_part_goes_back_less_restocking(
    approved: RepairOrder, bought: Receipt, volunteer: Person
) -> None:
    free = position().free_to_commit
    cancel(by=volunteer, repair=approved, reason="The owner sold the car")
    approved.refresh_from_db()
    assert (approved.state, approved.stop_reason) == (State.CANCELLED, "The owner sold the car")
    assert open_for(approved.number) == Money.zero
    assert position().free_to_commit == free + Money(280_00)
    claim = return_to_store(
        by=volunteer, portion=portion_of(bought), quantity=1000, on=TODAY, reason="Cancelled"
    )
    assert whole(claim.entry) == [
        ("1100", "general", "RO-0001", "120.00"),
        ("5000", "general", "RO-0001", "-120.00"),
    ]
    paid = settle_claim(by=volunteer, claim=claim, kind="bank", amount=Money(96_00), on=TODAY)
    assert whole(paid.entry) == [
        ("1000", "general", "", "96.00"),
        ("1100", "general", "RO-0001", "-96.00"),
    ]
    kept = settle_claim(by=volunteer, claim=claim, kind="kept", amount=Money(24_00), on=TODAY)
    assert whole(kept.entry) == [
        ("5100", "general", "", "24.00"),
        ("1100", "general", "RO-0001", "-24.00"),
    ]
    assert cost_of("RO-0001") == Money.zero
    assert open_for("RO-0001") == Money.zero  # what comes back is free, not promised anew


def test_cancelled_after_parts_were_bought_an_unused_part_goes_to_the_shelf_at_what_it_cost_with_tax(
    approved: RepairOrder, bought: Receipt, volunteer: Person
) -> None:
    cancel(by=volunteer, repair=approved, reason="The owner sold the car")
    lot = return_to_shelf(
        by=volunteer, portion=portion_of(bought), quantity=1000, on=TODAY, reason="Cancelled"
    )
    assert lot.left_cost == Money(120_00)
    assert whole(lot.entry) == [
        ("1200", "general", "", "120.00"),
        ("5000", "general", "RO-0001", "-120.00"),
    ]
    assert open_for("RO-0001") == Money.zero


def test_cancelled_with_the_part_fitted_its_cost_stays_and_nothing_more_is_booked(
    approved: RepairOrder, bought: Receipt, volunteer: Person
) -> None:
    entries = Entry.objects.count()
    cancel(by=volunteer, repair=approved, reason="The frame is rusted through")
    assert Entry.objects.count() == entries
    assert cost_of("RO-0001") == Money(120_00)
    later = draft_of(volunteer, approved, "5.00", number="later")
    with clock.at(TODAY + timedelta(days=1)):
        more = draft_of(volunteer, approved, "5.00", number="after", on=TODAY + timedelta(days=1))
        with pytest.raises(NotReady, match="ended on 2026-03-15"):
            post_receipt(by=volunteer, receipt=more)
    assert later.state == "draft"


def test_cancelled_after_diagnosis_only_the_hours_stay_the_cost_is_nothing_and_it_is_told_as_diagnosed(
    approved: RepairOrder, volunteer: Person
) -> None:
    start_work(by=volunteer, repair=approved)
    skill = Skill.objects.get(code="mechanic")
    add_hours(by=volunteer, repair=approved, person=volunteer, on=TODAY, tenths=12, skill=skill)
    entries = Entry.objects.count()
    cancel(by=volunteer, repair=approved, reason="Not worth repairing")
    approved.refresh_from_db()
    assert approved.state == State.DIAGNOSED
    assert (hours_of_repair(approved).tenths, cost_of("RO-0001")) == (12, Money.zero)
    assert Entry.objects.count() == entries
    (told,) = repairs_of_month("2026-03", {})
    assert (told.state, told.clock_tenths, told.cost) == ("diagnosed, not repaired", 12, Money.zero)


def test_two_approvals_in_one_hour_each_fit_and_together_do_not_the_second_page_says_so(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    without_share(owner)
    money_in_bank(treasurer, 1_500_00)
    for name in ("One", "Two"):
        ready(screener, volunteer, owner, part(300_00), name=name)
    client = client_for(owner)
    yes = {"tie": "no", "words": "", "purpose": "general", "reason": "", "decision": "yes"}
    entries = Entry.objects.count()
    assert press(client, "/crew/repairs/RO-0001/approval/", yes).status_code == 302
    refused = press(client, "/crew/repairs/RO-0002/approval/", yes)
    assert refused.status_code == 422
    assert (
        "300.00 cannot be promised to RO-0002: 200.00 is free to commit, 100.00 short."
        in refused.content.decode()
    )
    assert (open_for("RO-0001"), open_for("RO-0002")) == (Money(300_00), Money.zero)
    assert Entry.objects.count() == entries  # a promise is no entry


def test_the_cause_turns_out_different_at_the_same_total_so_owner_and_fund_say_yes_again(
    approved: RepairOrder, volunteer: Person, owner: Person
) -> None:
    entries = Entry.objects.count()
    set_cause(by=volunteer, repair=approved, cause="Relay, not the pump, by swapping it")
    assert not cause_approved(approved)
    request_supplement(by=volunteer, repair=approved, lines=(), reason="Another cause, same cost")
    owner_says_yes(volunteer, approved)
    row = supplement(by=owner, repair=approved)
    assert (row.kind, row.amount, row.on) == ("supplement", Money.zero, TODAY)
    assert row.snapshot["cause"] == "Relay, not the pump, by swapping it"
    assert cause_approved(approved)
    assert open_for(approved.number) == Money(400_00)
    assert Entry.objects.count() == entries


def test_the_owner_is_out_of_reach_and_the_treasurer_says_so_on_the_page(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    money_in_bank(treasurer, 3_000_00)
    ready(screener, volunteer, owner, part(140_00))
    client = client_for(treasurer)
    url = "/crew/repairs/RO-0001/approval/"
    assert "No owner can be reached" in client.get(url).content.decode()
    assert "No owner can be reached: how" not in client_for(owner).get(url).content.decode()
    yes = {"tie": "no", "words": "", "purpose": "general", "reason": "Blocks the bay", "decision": "yes"}
    refused = press(client, url, {**yes, "unreachable": ""})
    assert refused.status_code == 422
    assert "An owner decides on this." in refused.content.decode()
    assert "Blocks the bay" in refused.content.decode()
    done = press(client, url, {**yes, "unreachable": "Rang at 9:40 and at 10:15"})
    assert done.status_code == 302
    row = RepairOrder.objects.get().approvals.get()
    assert (row.approver, row.on, row.snapshot["owner_unreachable"]) == (
        treasurer, TODAY, "Rang at 9:40 and at 10:15",
    )  # fmt: skip
    told = client_for(owner).get("/crew/repairs/waiting/decisions/").content.decode()
    assert "Said yes to while no owner could be reached" in told
    assert "Rang at 9:40 and at 10:15" in told


def test_approved_and_nothing_bought_for_60_days_is_let_go_on_its_page_and_priced_again(
    approved: RepairOrder, owner: Person, volunteer: Person, client_for: SignIn
) -> None:
    client, entries = client_for(owner), Entry.objects.count()
    with clock.at(TODAY + timedelta(days=60)):
        free = position().free_to_commit
        listed = client.get("/crew/repairs/waiting/promised/?look=1").content.decode()
        assert "Ran out on 2026-04-14, nothing bought" in listed
        assert "/crew/repairs/RO-0001/let-go/" in listed
        assert "promise to renew or let go" in " ".join(client.get("/crew/").content.decode().split())
        url = "/crew/repairs/RO-0001/let-go/"
        asked = client.post(url, {"reason": "The part never came"})
        assert "$400.00 becomes free to commit at once." in asked.content.decode()
        assert open_for("RO-0001") == Money(400_00)  # asked first
        assert client.post(url, {"reason": "The part never came", "confirm": "yes"}).status_code == 302
        assert position().free_to_commit == free + Money(400_00)
        assert client.get("/crew/repairs/waiting/promised/?look=1").context["table"].data.data == []
    approved.refresh_from_db()
    assert approved.state == State.CHECKED_IN
    assert Entry.objects.count() == entries


def test_a_job_finished_under_its_estimate_gives_the_rest_back(
    approved: RepairOrder, bought: Receipt, volunteer: Person, owner: Person
) -> None:
    start_work(by=volunteer, repair=approved)
    mark_tested(by=volunteer, repair=approved)
    free, entries = position().free_to_commit, Entry.objects.count()
    mark_handed_back(by=volunteer, repair=approved)
    assert position().free_to_commit == free + Money(280_00)
    assert (open_for("RO-0001"), cost_of("RO-0001")) == (Money.zero, Money(120_00))
    assert Entry.objects.count() == entries
    assert whole(last_entry()) == [
        ("5000", "general", "RO-0001", "120.00"),
        ("2010", "general", "", "-120.00"),
    ]
