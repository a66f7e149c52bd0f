"""How cores end that do not simply come back: tax kept, the wrong card, two alike, years later. The part's cost stays."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from fund import clock
from fund.access.models import Person
from fund.ledger.queries import balance, cost_of
from fund.receipts.actions_cores import core_paid_late, put_in_box, return_core, return_core_of
from fund.receipts.models import CoreDeposit
from fund.receipts.proofs import breaks
from fund.receipts.queries import cores_that_warn
from fund.receipts.rules_shelf import core_warning
from fund.refusal import AlreadyDone, BadInput, NotReady
from tests.fund.receipts.makers import bought, entry_lines, line, m, paper

DAY = date(2026, 3, 10)
Repair = Callable[..., str]


def _alternator(by: Person, repair: str, number: str = "4471", on: date = date(2026, 3, 3)) -> CoreDeposit:
    data = paper(
        by, "287.73", "17.74", line("alternator", "214.99", ("part", repair), condition="reman"),
        line("alternator core", "55.00", ("core", repair), taxable=False), number=number, on=on, tender="fund_card",
    )  # fmt: skip
    return CoreDeposit.objects.get(portion__line__receipt=bought(by, data))


def _taxed(by: Person, repair: str) -> CoreDeposit:
    data = paper(by, "59.54", "4.54", line("core", "55.00", ("core", repair)), tender="fund_card")
    return CoreDeposit.objects.get(portion__line__receipt=bought(by, data))


def test_a_taxed_core_comes_back_with_its_tax(volunteer: Person, repair: Repair) -> None:
    core = _taxed(volunteer, repair())
    back = return_core(by=volunteer, core=core, amount_back=m("59.54"), on=DAY, kind="full")
    assert entry_lines(back.entry_id) == [("1000", "59.54", "", ""), ("1110", "-59.54", "RO-0001", "")]


def test_tax_that_the_store_keeps_is_a_cost_of_the_job(volunteer: Person, repair: Repair) -> None:
    core = _taxed(volunteer, repair())
    assert (core.amount, core.tax) == (m("59.54"), m("4.54"))
    back = return_core(
        by=volunteer, core=core, amount_back=m("55.00"), on=DAY, kind="full", tax_kept=m("4.54")
    )
    assert entry_lines(back.entry_id) == [
        ("1000", "55.00", "", ""),
        ("5000", "4.54", "RO-0001", ""),
        ("1110", "-59.54", "RO-0001", ""),
    ]
    assert (cost_of("RO-0001"), breaks()) == (m("4.54"), [])


def test_no_more_tax_is_kept_than_was_paid(volunteer: Person, repair: Repair) -> None:
    core = _taxed(volunteer, repair())
    with pytest.raises(BadInput, match="The tax on K-0001 was 4.54"):
        return_core(by=volunteer, core=core, amount_back=m("54.00"), on=DAY, kind="full", tax_kept=m("5.54"))


def test_half_of_a_core_is_credited(volunteer: Person, repair: Repair) -> None:
    core = _alternator(volunteer, repair())
    back = return_core(by=volunteer, core=core, amount_back=m("30.00"), on=DAY, kind="part")
    assert entry_lines(back.entry_id) == [
        ("1000", "30.00", "", ""),
        ("5040", "25.00", "RO-0001", ""),
        ("1110", "-55.00", "RO-0001", ""),
    ]
    assert balance("5000") == m("232.73")


def test_a_core_past_its_day_is_written_off(volunteer: Person, repair: Repair) -> None:
    core = _alternator(volunteer, repair())
    with clock.at(date(2026, 4, 20)):
        back = return_core(
            by=volunteer, core=core, amount_back=m("0.00"), on=date(2026, 4, 20), kind="lapsed"
        )
    assert entry_lines(back.entry_id) == [("5040", "55.00", "RO-0001", ""), ("1110", "-55.00", "RO-0001", "")]


def test_money_on_a_crew_members_card_is_owed_by_them(volunteer: Person, repair: Repair) -> None:
    core = _alternator(volunteer, repair())
    back = return_core(
        by=volunteer, core=core, amount_back=m("55.00"), on=DAY, kind="full", to="crew", person=volunteer
    )
    assert entry_lines(back.entry_id) == [("1130", "55.00", "", "tavi"), ("1110", "-55.00", "RO-0001", "")]


def test_money_years_after_the_write_off_lowers_what_was_lost_and_is_no_income(
    volunteer: Person, repair: Repair
) -> None:
    core = _alternator(volunteer, repair())
    return_core(by=volunteer, core=core, amount_back=m("0.00"), on=DAY, kind="refused")
    with clock.at(date(2029, 5, 4)):
        late = core_paid_late(by=volunteer, core=core, amount=m("55.00"), on=date(2029, 5, 4))
        with pytest.raises(AlreadyDone, match="paid late before"):
            core_paid_late(by=volunteer, core=core, amount=m("55.00"), on=date(2029, 5, 4))
    assert entry_lines(late.entry_id) == [("1000", "55.00", "", ""), ("5040", "-55.00", "RO-0001", "")]
    assert (balance("5040"), balance("5000"), late.entry.month) == (m("0.00"), m("232.73"), "2029-05")


def test_an_open_core_is_not_paid_late(volunteer: Person, repair: Repair) -> None:
    with pytest.raises(NotReady, match="still out"):
        core_paid_late(by=volunteer, core=_alternator(volunteer, repair()), amount=m("5.00"), on=DAY)


def test_of_two_alike_the_one_of_the_receipt_presented_ends(volunteer: Person, repair: Repair) -> None:
    repair()
    older = _alternator(volunteer, "RO-0001", "4471")
    younger = _alternator(volunteer, "RO-0001", "4502", date(2026, 3, 5))
    back = return_core_of(
        by=volunteer, item="alternator core", store="Gantry Parts", receipt="4502", amount_back=m("55.00"), on=DAY,
        kind="full",
    )  # fmt: skip
    assert (back.core, back.note) == (younger, "matched to 4502")
    oldest = return_core_of(
        by=volunteer,
        item="Alternator core",
        store="gantry parts",
        amount_back=m("55.00"),
        on=DAY,
        kind="full",
    )
    assert (oldest.core, oldest.note) == (older, "no receipt presented; the oldest of this part")
    with pytest.raises(NotReady, match="No core of"):
        return_core_of(
            by=volunteer, item="starter", store="Gantry Parts", amount_back=m("1.00"), on=DAY, kind="full"
        )


def test_the_clock_warns_at_fourteen_seven_and_two_days(volunteer: Person, repair: Repair) -> None:
    core = _alternator(volunteer, repair())
    for left, shown in ((15, 0), (14, 1), (0, 1), (-3, 1)):
        with clock.at(core.due_on - timedelta(days=left)):
            assert cores_that_warn().count() == shown
    assert [core_warning(left) for left in (14, 7, 2)] == [
        "14 days left", "7 days left, plan the trip", "2 days left, bring it back now",
    ]  # fmt: skip


def test_a_core_says_in_which_box_it_lies(volunteer: Person, repair: Repair) -> None:
    core = put_in_box(by=volunteer, core=_alternator(volunteer, repair()), box="its box, rack 2")
    core.refresh_from_db()
    assert core.box == "its box, rack 2"
