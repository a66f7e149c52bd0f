"""A whole month of an invented fund as plain ledger entries, amounts in minor units.

Opening 4,563.15 (of which 300.00 for tires); closing bank 5,407.49, petty cash 100.00, shelf 245.57: 5,753.06.
"""

from datetime import date

from fund.access.models import Person
from fund.ledger import chart as c
from fund.ledger.actions import add_cost_object, add_purpose, post_many
from fund.ledger.rules import EntryDraft, LineDraft, cr, dr
from fund.money import Money

FEBRUARY, MARCH = date(2026, 2, 28), date(2026, 3, 10)
CLOSING = "5753.06"


def _m(minor: int) -> Money:
    return Money(minor)


def _opening() -> list[LineDraft]:
    tires = {"purpose": "tires"}
    return [
        dr(c.BANK, _m(3_882_40)), dr(c.BANK, _m(300_00), **tires), dr(c.PETTY_CASH, _m(100_00)),
        dr(c.CORES, _m(66_00)), dr(c.SHELF, _m(214_75)), cr(c.NET_FREE, _m(4_263_15)),
        cr(c.NET_RESTRICTED, _m(300_00), **tires),
    ]  # fmt: skip


def _gifts() -> list[LineDraft]:
    tires = {"purpose": "tires"}
    return [
        dr(c.BANK, _m(1_020_98)), dr(c.FEES, _m(94_72)), dr(c.FEES, _m(58_30)), dr(c.RETURNED, _m(10_00)),
        cr(c.GIFTS, _m(1_184_00)),
        dr(c.BANK, _m(618_12)), dr(c.FEES, _m(21_88)), cr(c.GIFTS, _m(640_00)),
        dr(c.BANK, _m(150_00), **tires), cr(c.GIFTS_RESTRICTED, _m(150_00), **tires),
        dr(c.BANK, _m(612_00)), cr(c.GIFTS, _m(612_00)),
        dr(c.RETURNED, _m(50_00)), dr(c.BANK_FEES, _m(12_00)), cr(c.BANK, _m(62_00)),
    ]  # fmt: skip


def _repairs() -> list[LineDraft]:
    a, b, e = {"cost_object": "RO-0001"}, {"cost_object": "RO-0002"}, {"cost_object": "RO-0003"}
    return [
        dr(c.PARTS, _m(182_29), **a), dr(c.PARTS, _m(232_73), **b), dr(c.CORES, _m(55_00)),
        dr(c.PARTS, _m(108_20), **a), dr(c.FLUIDS, _m(92_45), **a), dr(c.SHELF, _m(30_82)),
        cr(c.OWED_CREW, _m(413_76)), cr(c.BANK, _m(287_73)),
        dr(c.OWED_CREW, _m(413_76)), cr(c.BANK, _m(413_76)),
        dr(c.BANK, _m(55_00)), cr(c.CORES, _m(55_00)),
        dr(c.PARTS, _m(325_42), **e), cr(c.BANK, _m(325_42)),
    ]  # fmt: skip


def _release() -> list[LineDraft]:
    tires = {"purpose": "tires"}
    return [
        dr(c.NET_RESTRICTED, _m(325_42), **tires), cr(c.BANK, _m(325_42), **tires),
        dr(c.BANK, _m(325_42)), cr(c.NET_FREE, _m(325_42)),
    ]  # fmt: skip


def _rest() -> list[LineDraft]:
    return [
        dr(c.SUPPLIES, _m(46_10)), dr(c.ADMIN, _m(118_00)), cr(c.BANK, _m(164_10)),
        dr(c.BANK, _m(22_00)), dr(c.CORES_LOST, _m(44_00)), cr(c.CORES, _m(66_00)),
    ]  # fmt: skip


def write_month(treasurer: Person) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires", giver_words="for tires")
    for number, label in ((1, "Alder"), (2, "Birch"), (3, "Elm")):
        add_cost_object(by=treasurer, code=f"RO-{number:04}", label=label)
    parts = ((FEBRUARY, "Opening", _opening()), (MARCH, "Gifts", _gifts()), (MARCH, "Repairs", _repairs()),
             (MARCH, "Release", _release()), (MARCH, "The rest", _rest()))  # fmt: skip
    post_many(by=treasurer, drafts=[EntryDraft("hand", on, text, lines) for on, text, lines in parts])
