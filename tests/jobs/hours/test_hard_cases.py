"""Hours that go wrong in a real shop, each played through the action its page uses."""

from collections.abc import Callable
from datetime import date, time
from typing import Any

import pytest

from fund import clock
from fund.access.models import Person
from fund.ledger.models import Entry, Line
from fund.ledger.queries import balance
from fund.money import Money
from fund.receipts.models import Receipt
from fund.refusal import BadInput, NotAllowed, NotEnoughMoney, NotReady, TwoPeopleNeeded
from fund.rulebook.actions import set_rule
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation
from jobs.handback.actions_handback import hand_back
from jobs.handback.models import RoadTest
from jobs.hours.actions import add_hours, confirm_hours, share_hours, take_back_hours
from jobs.hours.actions_pay import bill_of_contractor, make_contractor, refuse_pay
from jobs.hours.models import Skill
from jobs.hours.queries import hours_of_repair
from jobs.repairs.actions import set_correction
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from reports.month.queries_jobs import hours_of_month, repairs_of_month
from tests.jobs.handback.conftest import drive as drive
from tests.jobs.workshop import ready

Drive = Callable[..., RoadTest]
TODAY = date(2026, 3, 15)


def lines_of(entry: Entry) -> list[tuple[str, str, str | None, int]]:
    rows = entry.lines.order_by("ordinal")
    return [(row.account_id, row.purpose_id, row.cost_object_id, row.amount.minor) for row in rows]


@pytest.fixture
def second_repair(repair: RepairOrder, owner: Person, screener: Person, volunteer: Person) -> RepairOrder:
    order = ready(screener, volunteer, owner, name="Somebody else")
    approve(by=owner, repair=order)
    return start_work(by=volunteer, repair=order)


def test_hours_for_a_day_after_the_hand_back_are_refused_and_posted_ones_reversed(
    repair: RepairOrder, drive: Drive, mechanic: Skill, owner: Person, volunteer: Person
) -> None:
    """0.5 h at 28.81 is 14.41: booked as gift in kind and equal cost, and taken back line by line."""
    set_rule(
        by=owner,
        name="skilled_hours_posted",
        value="yes",
        valid_from=TODAY,
        reason="The accountant asks for it.",
    )
    set_correction(by=volunteer, repair=repair, correction="Pads replaced")
    drive(repair)
    hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    repair.refresh_from_db()
    later = date(2026, 3, 20)
    with clock.at(later):
        usual: dict[str, Any] = {
            "repair": repair,
            "person": volunteer,
            "on": later,
            "tenths": 5,
            "skill": mechanic,
        }
        with pytest.raises(
            BadInput, match="handed back on Mar 15, 2026. Hours on Mar 20, 2026 must be a recheck"
        ):
            add_hours(by=volunteer, **usual)
        row = add_hours(by=volunteer, work="recheck", **usual)
        assert row.entry is not None
        assert lines_of(row.entry) == [
            ("5050", "general", "RO-0001", 14_41),
            ("4030", "general", "RO-0001", -14_41),
        ]
        back = take_back_hours(by=volunteer, hours=row, reason="it was the neighbor's car")
    assert back.entry is not None
    assert lines_of(back.entry) == [
        ("5050", "general", "RO-0001", -14_41),
        ("4030", "general", "RO-0001", 14_41),
    ]
    assert back.entry.reverses == row.entry
    assert (balance("5050"), balance("4030")) == (Money.zero, Money.zero)


def test_six_hours_by_the_clock_against_two_and_a_half_by_the_book_are_told_as_they_were(
    repair: RepairOrder, mechanic: Skill, volunteer: Person
) -> None:
    RepairOrder.objects.filter(pk=repair.pk).update(book_hours=25)
    row = add_hours(
        by=volunteer,
        repair=repair,
        person=volunteer,
        on=TODAY,
        tenths=60,
        skill=mechanic,
        note="seized bolts",
    )
    assert (row.note, row.value) == ("seized bolts", Money(172_86))  # 6.0 x 28.81
    line = repairs_of_month("2026-03", {})[0]
    assert (line.clock_tenths, line.book_tenths) == (60, 25)
    found = hours_of_repair(repair)
    assert (found.tenths, found.people) == (60, 1)
    assert not Line.objects.filter(
        account__in=("5050", "4030")
    ).exists()  # a memo, unless the fund posts hours


def test_nineteen_hours_in_one_day_are_refused_over_all_repairs(
    repair: RepairOrder, second_repair: RepairOrder, mechanic: Skill, volunteer: Person
) -> None:
    usual: dict[str, Any] = {"by": volunteer, "person": volunteer, "on": TODAY, "skill": mechanic}
    with pytest.raises(BadInput, match="19.0 h is more than one person can work in a day"):
        add_hours(repair=repair, tenths=190, **usual)
    add_hours(repair=repair, tenths=100, **usual)
    with pytest.raises(BadInput, match="Tavi Brandt already has 10.0 h on Mar 15, 2026. The limit is 16.0 h"):
        add_hours(repair=second_repair, tenths=90, **usual)
    with pytest.raises(BadInput, match="25.0 h: a day has 24"):
        add_hours(repair=second_repair, tenths=250, **usual)


def test_nobody_is_in_two_bays_at_ten_o_clock(
    repair: RepairOrder, second_repair: RepairOrder, mechanic: Skill, volunteer: Person, volunteer2: Person
) -> None:
    usual: dict[str, Any] = {"by": volunteer, "on": TODAY, "tenths": 20, "skill": mechanic}
    first = add_hours(repair=repair, person=volunteer, starts=time(9), ends=time(11), **usual)
    with pytest.raises(BadInput, match="Tavi Brandt was on RO-0001 from 09:00 to 11:00 on Mar 15, 2026"):
        add_hours(repair=second_repair, person=volunteer, starts=time(10), ends=time(12), **usual)
    add_hours(repair=second_repair, person=volunteer2, starts=time(10), ends=time(12), **usual)
    add_hours(repair=second_repair, person=volunteer, starts=time(11), ends=time(13), **usual)
    take_back_hours(by=volunteer, hours=first, reason="it was the day before")
    add_hours(repair=second_repair, person=volunteer, starts=time(8), ends=time(10), **usual)


@pytest.mark.parametrize(
    ("starts", "ends", "tenths", "sentence"),
    [
        (time(9), None, 10, "both clock times, or neither"),
        (None, time(9), 10, "both clock times, or neither"),
        (time(22), time(2), 40, "Work past midnight is two rows"),
        (time(9), time(10), 15, "From 09:00 to 10:00 there are 1.0 h; 1.5 h do not fit"),
    ],
)
def test_clock_times_that_cannot_be_are_told(
    repair: RepairOrder, mechanic: Skill, volunteer: Person,
    starts: time | None, ends: time | None, tenths: int, sentence: str,
) -> None:  # fmt: skip
    with pytest.raises(BadInput, match=sentence):
        add_hours(
            by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=tenths, skill=mechanic, starts=starts,
            ends=ends,
        )  # fmt: skip


def test_a_pause_makes_the_hours_fewer_than_the_clock(
    repair: RepairOrder, mechanic: Skill, volunteer: Person
) -> None:
    row = add_hours(
        by=volunteer,
        repair=repair,
        person=volunteer,
        on=TODAY,
        tenths=25,
        skill=mechanic,
        starts=time(9),
        ends=time(12),
    )
    assert (row.starts, row.ends, row.tenths) == (time(9), time(12), 25)


def test_a_helper_without_skill_is_counted_and_not_valued(
    repair: RepairOrder, helper: Skill, mechanic: Skill, owner: Person, volunteer: Person, volunteer2: Person
) -> None:
    set_rule(
        by=owner,
        name="skilled_hours_posted",
        value="yes",
        valid_from=TODAY,
        reason="The accountant asks for it.",
    )
    row = add_hours(by=volunteer2, repair=repair, person=volunteer2, on=TODAY, tenths=30, skill=helper)
    assert (row.value, row.rate, row.entry) == (Money.zero, None, None)
    add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=10, skill=mechanic)
    rows = [(row.skill, row.tenths, row.value.minor) for row in hours_of_month("2026-03")]
    assert rows == [("Mechanic", 10, 28_81), ("Helper in the shop", 30, 0)]
    assert balance("5050") == Money(28_81)


def test_hours_of_three_together_are_split_and_as_many_for_each_are_not(
    repair: RepairOrder, helper: Skill, treasurer: Person, volunteer: Person, volunteer2: Person
) -> None:
    usual: dict[str, Any] = {"by": volunteer, "repair": repair, "on": TODAY, "skill": helper}
    rows = share_hours(people=[volunteer, volunteer2, treasurer], tenths=40, **usual)
    assert [row.tenths for row in rows] == [14, 13, 13]
    rows = share_hours(people=[volunteer, volunteer2], tenths=20, each=True, **usual)
    assert [row.tenths for row in rows] == [20, 20]
    assert (hours_of_repair(repair).tenths, hours_of_repair(repair).people) == (80, 3)


def test_a_volunteer_who_later_wants_pay_is_refused_with_the_reason_kept(
    repair: RepairOrder, mechanic: Skill, owner: Person, volunteer: Person
) -> None:
    row = refuse_pay(by=owner, person=volunteer, reason="The fund has no money for labor.")
    assert (row.answer, row.from_on) == ("refused", None)
    assert add_hours(
        by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=10, skill=mechanic
    ).value == Money(28_81)


def contractor(owner: Person, person: Person, **facts: Any) -> None:
    usual: dict[str, Any] = {
        "from_on": date(2026, 3, 20), "conflict": "Maren asks and approves, Odell pays", "tax_form_on": TODAY,
        "reason": "Nobody else can rebuild the axle",
    }  # fmt: skip
    make_contractor(by=owner, person=person, **(usual | facts))


def test_a_volunteer_becomes_a_contractor_from_a_day_and_then_bills_outside_work(
    repair: RepairOrder, mechanic: Skill, helper: Skill, owner: Person, volunteer: Person, volunteer2: Person
) -> None:
    """Two hours before the day stay a gift; 120.00 after it are outside work against an unpaid bill."""
    given = add_hours(by=volunteer2, repair=repair, person=volunteer2, on=TODAY, tenths=20, skill=mechanic)
    contractor(owner, volunteer2)
    assert given.value == Money(57_62)
    answer_relation(by=volunteer2, repair=repair, tie=False)
    on = date(2026, 3, 21)
    with clock.at(on):
        with pytest.raises(BadInput, match="Jun Okafor is paid for this work on Mar 21, 2026: it is a bill"):
            add_hours(by=volunteer2, repair=repair, person=volunteer2, on=on, tenths=20, skill=mechanic)
        add_hours(by=volunteer2, repair=repair, person=volunteer2, on=on, tenths=5, skill=helper)
        bill: dict[str, Any] = {
            "person": volunteer2, "repair": repair, "number": "1", "on": on, "amount": Money(120_00),
            "text": "Axle rebuilt",
        }  # fmt: skip
        with pytest.raises(TwoPeopleNeeded):
            bill_of_contractor(by=volunteer2, **bill)
        with pytest.raises(NotReady, match="was no contractor on Mar 15, 2026"):
            bill_of_contractor(by=volunteer, **(bill | {"on": TODAY}))
        with pytest.raises(NotEnoughMoney):
            bill_of_contractor(by=volunteer, **(bill | {"amount": Money(900_00)}))
        paper = bill_of_contractor(by=volunteer, **bill)
    assert Receipt.objects.count() == 1
    entry = Entry.objects.get(source=paper.code)
    assert lines_of(entry) == [
        ("5020", "general", "RO-0001", 120_00),
        ("2000", "general", None, -120_00),
    ]
    assert entry.lines.get(account="2000").party == "Jun Okafor"


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"from_on": date(2026, 3, 14)}, "Nobody is paid for what was given"),
        ({"conflict": " "}, "how the conflict is kept out"),
        ({"reason": ""}, "why the fund buys this work"),
        ({"tax_form_on": date(2026, 3, 16)}, "tax form comes before the first payment"),
    ],
)
def test_a_contractor_needs_a_day_to_come_a_tax_form_and_no_conflict(
    db: None, owner: Person, volunteer: Person, facts: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(BadInput, match=sentence):
        contractor(owner, volunteer, **facts)


def test_hours_given_on_the_first_paid_day_stay_a_gift(
    repair: RepairOrder, mechanic: Skill, owner: Person, volunteer: Person
) -> None:
    row = add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=10, skill=mechanic)
    with pytest.raises(BadInput, match=f"{row.code} gave hours on Mar 15, 2026. They stay a gift"):
        contractor(owner, volunteer, from_on=TODAY)


def test_only_an_owner_decides_on_pay_and_never_on_their_own(
    db: None, owner: Person, treasurer: Person, volunteer: Person
) -> None:
    with pytest.raises(NotAllowed, match="Only an owner"):
        refuse_pay(by=treasurer, person=volunteer, reason="no")
    with pytest.raises(TwoPeopleNeeded):
        contractor(owner, owner)


def test_hours_entered_by_somebody_else_show_both_names_until_they_are_confirmed(
    repair: RepairOrder,
    mechanic: Skill,
    volunteer: Person,
    volunteer2: Person,
    client_for: Callable[[Person], Any],
) -> None:
    row = add_hours(by=volunteer2, repair=repair, person=volunteer, on=TODAY, tenths=10, skill=mechanic)
    page = client_for(volunteer).get("/crew/hours/").content.decode()
    assert "by Jun Okafor for Tavi Brandt" in page
    assert "not confirmed" in page
    with pytest.raises(NotAllowed, match="Only Tavi Brandt can confirm"):
        confirm_hours(by=volunteer2, hours=row)
    confirm_hours(by=volunteer, hours=row)
    assert "not confirmed</span>" not in client_for(volunteer).get("/crew/hours/").content.decode()
