"""March 2026 of an invented fund, lived through the real actions of every room. Its figures are typed in the tests."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fund import clock
from fund.access.models import Person
from fund.gifts.actions import add_supporter, record_gift
from fund.gifts.actions_cash import bank_deposit, count_cash
from fund.gifts.actions_payout import import_payout
from fund.gifts.actions_returns import return_check
from fund.ledger.actions import add_purpose, post
from fund.ledger.chart import BANK, CORES, CORES_LOST, NET_FREE, NET_RESTRICTED, PETTY_CASH, SHELF
from fund.ledger.rules import EntryDraft, LineDraft, cr, dr
from fund.money import Money
from fund.receipts.actions_cores import return_core
from fund.receipts.actions_shelf import receive_lot
from fund.receipts.models import CoreDeposit, Receipt
from fund.repayments.actions import prepare_repayment, release_repayment
from fund.rulebook.actions import set_rule
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation
from jobs.estimates.actions import set_estimate
from jobs.handback.actions import record_road_test
from jobs.handback.actions_handback import hand_back
from jobs.handback.actions_proof import record_check_list
from jobs.handback.queries_proof import fluids_charged, lines_asked
from jobs.handback.rules import SAFETY_LINES
from jobs.handback.rules_proof import CheckLine, FluidDraft
from jobs.hours.actions import add_hours
from jobs.hours.models import Skill
from jobs.repairs.actions import open_repair, set_cause, set_correction
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from jobs.vehicles.actions import add_vehicle
from reports.month.actions import close_month
from tests.fund.gifts.files import (
    demo_card_rows,
    demo_patch_rows,
    kettle_card,
    kettle_file,
    patch_circle,
    patch_file,
)
from tests.fund.receipts.makers import bought, line, m, paper
from tests.jobs.workshop import OWN_FOR_YEARS, eligible, owner_says_yes, part, walked_round

WORK_DAY = date(2026, 3, 31)
# Values that may never come out; each is looked for in everything that is published.
NAMES = ("Quillon Zarrow", "Ottoline Vexley", "Bartram Yewing", "Sunniva Kessock", "Dov Tarrant")
VIN, PLATE, PHONE, STREET = "1M8GDM9AXKP042788", "KLM-4471", "555-0100", "418 Tannery Bend"


@dataclass(frozen=True)
class Crew:
    owner: Person
    treasurer: Person
    screener: Person
    volunteer: Person
    volunteer2: Person


def _entry(by: Person, kind: str, day: date, text: str, lines: Sequence[LineDraft]) -> None:
    post(by=by, draft=EntryDraft(kind, day, text, lines))


def february(crew: Crew) -> None:
    """What the books begin with, and February closed."""
    with clock.at(date(2026, 2, 1)):
        # Every giver of the story is new to the books; this fund keeps none of their money back.
        new, reason = "dispute_watch_days", "the givers are known"
        set_rule(by=crew.owner, name=new, value="0", valid_from=date(2026, 2, 1), reason=reason)
    with clock.at(date(2026, 2, 10)):
        add_purpose(by=crew.treasurer, code="tires", name="Tires", giver_words="for tires")
        opening = [
            dr(BANK, m("3882.40")),
            dr(PETTY_CASH, m("100.00")),
            dr(CORES, m("66.00")),
            dr(SHELF, m("214.75")),
            cr(NET_FREE, m("4263.15")),
            dr(BANK, m("300.00"), purpose="tires"),
            cr(NET_RESTRICTED, m("300.00"), purpose="tires"),
        ]
        day = date(2026, 2, 1)
        entry = post(by=crew.treasurer, draft=EntryDraft("opening", day, "Opening balances", opening))
        receive_lot(
            by=crew.treasurer, item="oil filters", unit="each", quantity=20_000, cost=m("214.75"), on=day,
            source="opening", entry=entry,
        )  # fmt: skip
    with clock.at(date(2026, 3, 2)):
        close_month(by=crew.treasurer, month="2026-02")


def repair(
    crew: Crew,
    name: str,
    kind: str,
    words: tuple[str, str, str],
    cost: str,
    book: int,
    purpose: str = "general",
) -> RepairOrder:
    """Approved for exactly this cost; in the bay when there is a correction to tell."""
    complaint, cause, correction = words
    application = eligible(crew.screener, name)
    household = application.household
    household.address = f"{STREET}, Larkwater"
    household.save()
    vehicle = add_vehicle(
        by=crew.volunteer,
        household=household,
        year=2011,
        vehicle_class=kind,
        vin=VIN,
        plate=PLATE,
        mileage=148_000,
        standing=OWN_FOR_YEARS,
    )
    order = open_repair(
        by=crew.volunteer,
        application=application,
        vehicle=vehicle,
        complaint=complaint,
        mechanic=crew.volunteer,
    )
    walked_round(crew.volunteer, order)
    set_cause(by=crew.volunteer, repair=order, cause=cause, book_hours=book)
    set_estimate(by=crew.volunteer, repair=order, lines=part(m(cost).minor))
    owner_says_yes(crew.volunteer, order)
    for person in (crew.volunteer, crew.volunteer2, crew.owner):
        answer_relation(by=person, repair=order, tie=False)
    approve(by=crew.owner, repair=order, purpose=purpose)
    if correction:
        start_work(by=crew.volunteer, repair=order)
        set_correction(by=crew.volunteer, repair=order, correction=correction)
    return order


def returned(crew: Crew, order: RepairOrder, tenths: int) -> None:
    """Hours, road test and keys, all on the work day."""
    add_hours(
        by=crew.volunteer,
        repair=order,
        person=crew.volunteer,
        on=WORK_DAY,
        tenths=tenths,
        skill=Skill.objects.get(code="mechanic"),
    )
    fluids = [FluidDraft("coolant", "at mark", put_in=9000)] if fluids_charged(order) else []
    record_road_test(
        by=crew.volunteer2, repair=order, on=WORK_DAY, driver=crew.volunteer, odometer_out=148_002,
        odometer_in=148_010, minutes=40, route="town", safety={name: True for name, _ in SAFETY_LINES},
        complaint_returned=False, result="pass", fluids=fluids,
    )  # fmt: skip
    lines = [CheckLine(text, "yes") for text in lines_asked(order)]
    record_check_list(by=crew.volunteer2, repair=order, on=WORK_DAY, lines=lines)
    hand_back(by=crew.owner, repair=order, on=WORK_DAY, odometer=148_010)


def march(crew: Crew) -> dict[str, RepairOrder]:
    """The whole of March, not closed yet. Repairs by letter: A, B, C, E are done, D waits for parts."""
    with clock.at(date(2026, 4, 1)):
        _gifts(crew)
    with clock.at(WORK_DAY):
        orders = _repairs(crew)
        _counter(crew, orders)
        for letter, tenths in (("A", 24), ("B", 18), ("C", 40), ("E", 9)):
            returned(crew, orders[letter], tenths)
        _older_cores(crew)
    return orders


def _repairs(crew: Crew) -> dict[str, RepairOrder]:
    told = {
        "A": ("compact car", ("grinding when braking", "front pads to metal", "pads and rotors replaced"), "182.29", 20),
        "B": ("minivan", ("died at lights", "11.9 V, diode", "alternator replaced"), "232.73", 16),
        "C": ("pickup", ("overheated after 25 min", "split hose", "hoses, coolant and sender replaced"), "200.65", 25),
        "E": ("wagon", ("cords showing", "worn through", "two tires fitted"), "325.42", 8),
        "D": ("compact car", ("cranks, no start", "no fuel pressure", ""), "380.00", 30),
    }  # fmt: skip
    orders = {}
    for (letter, (kind, words, cost, book)), name in zip(told.items(), NAMES, strict=True):
        orders[letter] = repair(crew, name, kind, words, cost, book, "tires" if letter == "E" else "general")
    return orders


def _counter(crew: Crew, orders: dict[str, RepairOrder]) -> None:
    a, b, c, e = (orders[letter].number for letter in "ABCE")
    v1, v2 = crew.volunteer, crew.volunteer2
    day = {"on": WORK_DAY}
    mine = bought(
        v1, paper(v1, "182.29", "13.89", line("pads and rotors", "168.40", ("part", a)), number="1", **day)
    )
    bought(v1, paper(v1, "287.73", "17.74", line("alternator", "214.99", ("part", b)),
                     line("core", "55.00", ("core", b), taxable=False), number="2", tender="fund_card", **day))  # fmt: skip
    core = CoreDeposit.objects.get()
    return_core(by=v1, core=core, amount_back=m("55.00"), on=WORK_DAY, kind="full")
    coolant = line(
        "coolant", "113.88", ("fluid", c, 9000), ("shelf", None, 3000), quantity=12_000, unit="quart"
    )
    theirs = bought(v2, paper(v2, "231.47", "17.64", line("hose kit", "58.75", ("part", c)), coolant,
                              line("temperature sender", "41.20", ("part", c)), number="30", **day))  # fmt: skip
    bought(v1, paper(v1, "325.42", "24.42", line("two tires", "296.00", ("part", e)),
                     line("disposal", "5.00", ("part", e), taxable=False), number="4", tender="fund_card", **day))  # fmt: skip
    bought(
        v1,
        paper(
            v1,
            "46.10",
            "0.00",
            line("rags and oil pickup", "46.10", "supplies"),
            number="5",
            tender="fund_card",
            **day,
        ),
    )
    bought(
        v1,
        paper(
            v1, "118.00", "0.00", line("insurance", "118.00", "admin"), number="6", tender="fund_card", **day
        ),
    )
    for person, receipt in ((v1, mine), (v2, theirs)):
        _repaid(crew, person, receipt)


def _repaid(crew: Crew, person: Person, receipt: Receipt) -> None:
    repayment = prepare_repayment(
        papers_seen=True, by=crew.treasurer, person=person, receipts=[receipt], on=WORK_DAY
    )
    release_repayment(by=crew.owner, repayment=repayment)


def _older_cores(crew: Crew) -> None:
    lines = [dr(BANK, m("22.00")), dr(CORES_LOST, m("44.00")), cr(CORES, m("66.00"))]
    _entry(crew.treasurer, "core return", date(2026, 3, 31), "Battery core back, caliper core refused", lines)


def _gifts(crew: Crew) -> None:
    by = crew.treasurer
    import_payout(by=by, data=patch_file(*demo_patch_rows()), filename="march.csv", layout=patch_circle())
    import_payout(by=by, data=kettle_file(*demo_card_rows()), filename="card.csv", layout=kettle_card())
    jar = {2000: 7, 1000: 5, 500: 4, 100: 2}
    count = count_cash(
        by=crew.volunteer,
        second=crew.volunteer2,
        on=date(2026, 3, 14),
        place="open bay day",
        denominations=jar,
    )
    checks = []
    for day, amount in ((3, "50.00"), (5, "250.00"), (9, "100.00")):
        giver = add_supporter(by=by, name=f"Check writer {day}")
        gift = record_gift(
            by=by,
            kind="check",
            received_on=date(2026, 3, day),
            amount=m(amount),
            supporter=giver,
            check_number=str(100 + day),
        )
        checks.append(gift)
    bank_deposit(by=by, on=date(2026, 3, 16), counts=[count], gifts=checks)
    return_check(by=by, gift=checks[0], on=date(2026, 3, 23), bank_fee=Money(1200), reason="no funds")
