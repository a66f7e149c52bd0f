"""The cost of a repair on one page, as its readers see it."""

from collections.abc import Callable
from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fund import clock
from fund.access.models import Person
from fund.money import Money
from fund.receipts.actions_cores import return_core
from fund.receipts.actions_returns import book_rebate
from fund.receipts.models import CoreDeposit, ReceiptPortion
from jobs.repairs.models import RepairOrder
from reports.cost.queries import cost_of_repair
from reports.month.actions import close_month, publish_month
from reports.month.models import PublishedMonth
from tests.fund.receipts.makers import bought, line, paper
from tests.reports.month.march import Crew

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
APRIL = date(2026, 4, 10)


def page(client: Client, number: str) -> str:
    answer = client.get(f"/crew/repairs/{number}/cost/")
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def test_estimate_actual_deposits_hours_and_promise_stand_side_by_side(
    orders: dict[str, RepairOrder], owner: Person, client_for: SignIn
) -> None:
    found = cost_of_repair(orders["B"].number)
    assert (found.estimate, found.actual, found.difference) == (Money(232_73), Money(232_73), Money.zero)
    assert [line.amount for line in found.deposits] == [Money(55_00), Money(-55_00)]
    assert found.deposits_out == Money.zero
    assert found.hours.tenths > 0
    assert (found.allowance.promised, found.allowance.spent, found.allowance.open, found.room) == (
        Money(232_73), Money(232_73), Money.zero, Money.zero,
    )  # fmt: skip
    seen = page(client_for(owner), orders["B"].number)
    for shown in (
        "alternator",
        "232.73",
        "Still out",
        "By the clock",
        "1.6 h",
        "Never in the cost",
        "R-0000",
    ):
        assert shown.lower() in seen.lower()


def test_a_repair_under_way_says_what_may_still_be_bought(orders: dict[str, RepairOrder]) -> None:
    found = cost_of_repair(orders["D"].number)
    assert (found.room, found.tolerance_left, found.actual) == (Money(418_00), Money(38_00), Money.zero)
    assert found.published == []
    assert found.since is None


def test_as_published_and_now_with_the_difference_explained(
    published: PublishedMonth,
    orders: dict[str, RepairOrder],
    crew: Crew,
    owner: Person,
    client_for: SignIn,
) -> None:
    number = orders["A"].number
    stands = page(client_for(owner), number)
    assert "Nothing was booked since: the published cost stands." in stands
    with clock.at(APRIL):
        pads = ReceiptPortion.objects.get(cost_object=number)
        book_rebate(by=crew.volunteer, portion=pads, amount=Money(21_65), on=APRIL, reason="mail-in rebate")
        found = cost_of_repair(number)
        assert found.since is not None
        assert (found.since.published.to_date, found.since.now) == (Money(182_29), Money(160_64))
        assert found.since.unexplained == Money.zero
        seen = page(client_for(owner), number)
    assert (
        "As published with March 2026 $182.29, now $160.64: −$21.65, because of what was booked since."
        in seen
    )
    assert "Rebate on pads and rotors" in seen
    with clock.at(date(2026, 5, 4)):  # and stays so once April tells the change itself
        close_month(by=crew.treasurer, month="2026-04")
        publish_month(by=crew.owner, month="2026-04")
        later = cost_of_repair(number)
    assert [row.month for row in later.published] == ["2026-03", "2026-04"]
    assert later.since == found.since


def test_what_was_bought_before_the_approval_is_marked(orders: dict[str, RepairOrder], crew: Crew) -> None:
    early = paper(
        crew.volunteer, "20.00", "0.00", line("gasket", "20.00", ("part", orders["D"].number), taxable=False),
        number="early", on=date(2026, 3, 1),
    )  # fmt: skip
    with clock.at(APRIL):
        bought(crew.volunteer, early)
    marks = [row.before_approval for row in cost_of_repair(orders["D"].number).costs]
    assert marks == [True]


def test_a_core_that_is_lost_is_a_cost_but_was_never_approved(
    orders: dict[str, RepairOrder], crew: Crew, client_for: SignIn
) -> None:
    number, by = orders["D"].number, crew.volunteer
    deposit = line("old pump", "30.00", ("core", number), taxable=False)
    with clock.at(APRIL):
        bought(by, paper(by, "30.00", "0.00", deposit, number="core", on=APRIL))
        core = CoreDeposit.objects.get(item="old pump")
        assert cost_of_repair(number).deposits_out == Money(30_00)
        return_core(by=by, core=core, amount_back=Money.zero, on=APRIL, kind="refused")
        found = cost_of_repair(number)
        seen = page(client_for(by), number)
    assert (found.actual, found.allowance.spent, found.deposits_out) == (Money(30_00), Money.zero, Money.zero)
    assert [(row.label, row.actual) for row in found.kinds if row.actual] == [("Cores lost", Money(30_00))]
    assert "A core that is lost is in the cost, but no part of what was approved." in seen


def test_it_asks_the_database_fewer_than_ten_times_with_3_lines_and_with_300(
    orders: dict[str, RepairOrder], crew: Crew, owner: Person, client_for: SignIn
) -> None:
    number, client = orders["D"].number, client_for(owner)
    counts = []
    for lines in (3, 297):
        with clock.at(APRIL):
            goods = [line(f"thing {at}", "1.00", ("part", number), taxable=False) for at in range(lines)]
            data = paper(crew.volunteer, f"{lines}.00", "0.00", *goods, number=f"of {lines}", on=APRIL)
            bought(crew.volunteer, data)
            client.get("/crew/")
            with CaptureQueriesContext(connection) as asked:
                seen = page(client, number)
        counts.append(len(asked))
    assert seen.count("thing ") == 300
    assert counts[0] == counts[1]
    assert counts[1] < 10


def test_it_is_linked_from_the_repair_and_from_the_list(
    orders: dict[str, RepairOrder], owner: Person, client_for: SignIn
) -> None:
    client, number = client_for(owner), orders["A"].number
    link = f'href="/crew/repairs/{number}/cost/"'
    assert link in client.get(f"/crew/repairs/{number}/").content.decode()
    assert link in client.get("/crew/repairs/").content.decode()


def test_who_may_not_see_receipts_or_books_finds_no_links_to_them(
    orders: dict[str, RepairOrder], crew: Crew, client_for: SignIn
) -> None:
    seen = page(client_for(crew.screener), orders["A"].number)
    assert "182.29" in seen
    assert "/crew/receipts/R-" not in seen
    assert "/crew/books/entries/" not in seen


def test_a_repair_that_is_not_there_is_not_found(owner: Person, client_for: SignIn) -> None:
    assert client_for(owner).get("/crew/repairs/RO-9999/cost/").status_code == 404
