"""The signs of the second look, one by one, at their edges. Where each begins is common practice, without a source."""

from datetime import date, timedelta
from typing import Any

import pytest

from fund.receipts.rules_look import (
    following,
    old_units,
    one_card,
    same_amounts,
    saying_nothing,
    under_limits,
    without_paper,
)
from fund.receipts.rules_look_rows import Limit, OldUnit, Paper, Words, key_of, serial_of
from tests.fund.receipts.makers import m

DAY = date(2026, 3, 2)
TAVI, JUN, ODELL = 1, 2, 3
NAMES = {TAVI: "Tavi Brandt", JUN: "Jun Okafor", ODELL: "Odell Price"}
EACH = Limit("missing_each", "Purchase without its receipt: most for each", m("25.00"))
OWNER = Limit("owner_limit", "Repair cost the owner may approve alone", m("750.00"))


def paper(code: str, total: str = "40.00", buyer: int = TAVI, days: int = 0, **more: Any) -> Paper:
    fields: dict[str, Any] = {
        "store": "Gantry Parts", "number": "", "tender": "own_money", "last4": "", "missing": False, **more,
    }  # fmt: skip
    series, serial = serial_of(fields["number"])
    return Paper(
        code=code, on=DAY + timedelta(days=days), total=m(total), buyer=buyer, name=NAMES[buyer], series=series,
        serial=serial, **fields,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("number", "told"),
    [
        ("10231", ("", 10231)),
        ("gp-0871", ("GP-", 871)),
        (" GP 12 ", ("GP", 12)),
        ("A12B", ("", None)),
        ("", ("", None)),
        ("2026-0007", ("2026-", 7)),
        ("1" * 16, ("1", 111111111111111)),
        ("\u0661\u0662", ("", None)),
    ],
)
def test_a_number_is_taken_apart_at_its_last_figures(number: str, told: tuple[str, int | None]) -> None:
    assert serial_of(number) == told


@pytest.mark.parametrize(
    ("total", "near"),
    [("22.49", False), ("22.50", True), ("24.99", True), ("25.00", True), ("25.01", False), ("0.00", False)],
)
def test_just_under_is_from_nine_tenths_up_to_the_limit_itself(total: str, near: bool) -> None:
    assert EACH.near(m(total), DAY) is near


def test_a_limit_binds_only_in_its_own_time() -> None:
    lasted = Limit("owner_limit", "", m("100.00"), date(2026, 3, 1), date(2026, 3, 5))
    days = [date(2026, 2, 28), date(2026, 3, 1), date(2026, 3, 4), date(2026, 3, 5)]
    assert [lasted.near(m("95.00"), day) for day in days] == [False, True, True, False]


@pytest.mark.parametrize(
    ("days", "runs"),
    [
        ((0, 5), []),
        ((0, 15, 30), [3]),
        ((0, 15, 31), []),
        ((0, 10, 20, 30, 40, 50), [6]),
        ((0, 10, 20, 100, 110, 120), [3, 3]),
        ((0, 1, 2, 40), [3]),
    ],
)
def test_three_just_under_a_limit_within_thirty_days_are_a_run(
    days: tuple[int, ...], runs: list[int]
) -> None:
    papers = [paper(f"R-{at}", "740.00", days=day) for at, day in enumerate(days)]
    assert sorted(len(look.codes) for look in under_limits(papers, [OWNER])) == sorted(runs)


def test_a_run_is_of_one_person_and_under_one_limit() -> None:
    two = [paper("R-1", "740.00"), paper("R-2", "740.00"), paper("R-3", "740.00", JUN)]
    assert under_limits(two, [OWNER]) == []
    found = under_limits([*two, paper("R-4", "700.50", days=3)], [OWNER])
    assert [look.sentence for look in found] == [
        "3 receipts of Tavi Brandt, from 2026-03-02 to 2026-03-05, are just under 750.00 (“Repair cost the owner may"
        " approve alone”): 740.00, 740.00, 700.50."
    ]
    assert (found[0].people, found[0].on) == (frozenset({TAVI}), date(2026, 3, 5))


def test_the_limit_of_lost_papers_is_for_lost_papers_and_the_treasurers_own_for_theirs() -> None:
    small = [paper(f"R-{at}", "24.00") for at in range(3)]
    assert under_limits(small, [EACH]) == []
    assert len(under_limits([paper(f"R-{at}", "24.00", missing=True) for at in range(3)], [EACH])) == 1
    delegate = Limit("delegate_limit", "", m("150.00"))
    assert under_limits([paper(f"R-{at}", "149.00") for at in range(3)], [delegate]) == []
    assert (
        len(under_limits([paper(f"R-{at}", "149.00", ODELL, decides=True) for at in range(3)], [delegate]))
        == 1
    )


def test_a_limit_that_changed_is_the_one_of_each_day() -> None:
    limits = [
        Limit("owner_limit", "", m("500.00"), until=date(2026, 3, 10)),
        Limit("owner_limit", "", m("750.00"), since=date(2026, 3, 10)),
    ]
    papers = [paper("R-1", "490.00"), paper("R-2", "480.00", days=1), paper("R-3", "740.00", days=8)]
    found = under_limits(papers, limits)
    assert "just under 500.00 and 750.00" in found[0].sentence
    assert under_limits([*papers[:2], paper("R-3", "490.00", days=8)], limits) == []


@pytest.mark.parametrize(
    ("numbers", "codes"),
    [
        ((("10231", TAVI), ("10232", JUN)), [("R-0", "R-1")]),
        ((("10231", TAVI), ("10232", TAVI)), []),
        ((("10231", TAVI), ("10233", JUN)), []),
        ((("GP-9", TAVI), ("GP-10", JUN)), [("R-0", "R-1")]),
        ((("GP-9", TAVI), ("NC-10", JUN)), []),
        ((("10231", TAVI), ("10231", JUN)), []),  # the same number is the same paper, or no number at all
        ((("7", TAVI), ("8", JUN), ("9", TAVI), ("11", JUN)), [("R-0", "R-1", "R-2")]),
        ((("", TAVI), ("", JUN)), []),
    ],
)
def test_numbers_that_follow_one_another_by_different_people(
    numbers: tuple[tuple[str, int], ...], codes: list[tuple[str, ...]]
) -> None:
    papers = [paper(f"R-{at}", buyer=buyer, number=number) for at, (number, buyer) in enumerate(numbers)]
    assert [look.codes for look in following(papers)] == codes


def test_numbers_of_two_stores_do_not_follow_one_another() -> None:
    papers = [paper("R-1", number="10"), paper("R-2", buyer=JUN, number="11", store="Northside Counter")]
    assert following(papers) == []


def words(text: str, code: str = "R-1") -> Words:
    return Words(code, DAY, "Gantry Parts", text, m("9.00"), TAVI, NAMES[TAVI])


@pytest.mark.parametrize(
    ("text", "vague"),
    [
        ("misc", True), ("MISC.", True), ("misc parts", True), ("Miscellaneous", True), ("item", True), (" Parts ", True),
        ("Dept. 4", True), ("part no. 22", False), ("misc hose clamps", False), ("brake parts cleaner", False),
        ("items for the bay", False),
    ],
)  # fmt: skip
def test_only_words_that_tell_nothing_at_all_are_vague(text: str, vague: bool) -> None:
    assert bool(saying_nothing([words(text)])) is vague


def test_the_vague_lines_of_one_receipt_are_one_question() -> None:
    (found,) = saying_nothing([words("misc"), words("brake pads"), words("item")])
    assert found.sentence == (
        "R-1 of 2026-03-02, Gantry Parts, brought by Tavi Brandt, says only “misc” for 9.00, “item” for 9.00."
    )
    assert found.amount == m("18.00")


@pytest.mark.parametrize(
    ("days", "most", "runs"),
    [((0, 1), 2, 0), ((0, 1, 2), 2, 1), ((0, 100, 365), 2, 1), ((0, 100, 366), 2, 0), ((0,), 0, 1)],
)
def test_more_lost_papers_in_a_year_than_a_quarter_allows(
    days: tuple[int, ...], most: int, runs: int
) -> None:
    papers = [paper(f"R-{at}", days=day, missing=True, approved_by=ODELL) for at, day in enumerate(days)]
    found = without_paper(
        [*papers, paper("R-9", days=1), paper("R-8", buyer=JUN, missing=True)], lambda _: most
    )
    assert len([look for look in found if TAVI in look.people]) == runs
    assert all(
        ODELL in look.people for look in found if TAVI in look.people
    )  # who approved it is concerned too


def test_the_same_amount_at_one_store_in_one_day_is_asked_with_what_was_said_at_entry() -> None:
    one, two = paper("R-1", "48.71", number="77"), paper("R-2", "48.71", JUN, said="two pumps")
    (found,) = same_amounts([one, two])
    assert found.text == (
        "48.71 was paid 2 times at Gantry Parts on 2026-03-02: R-1 by Tavi Brandt, number 77; R-2 by Jun Okafor, without a"
        " number. At entry it was said: “two pumps”. Were they purchases of their own?"
    )
    assert found.people == {TAVI, JUN}


@pytest.mark.parametrize(
    "other", [{"days": 1}, {"store": "Northside Counter"}, {"total": "48.72"}], ids=["day", "store", "cent"]
)
def test_another_day_store_or_cent_is_no_repetition(other: dict[str, Any]) -> None:
    assert same_amounts([paper("R-1", "48.71"), paper("R-2", **{"total": "48.71", **other})]) == []


@pytest.mark.parametrize(
    ("tenders", "found"),
    [
        (("fund_card", "own_money"), True),
        (("fund_card", "given"), True),
        (("fund_card", "fund_card"), False),
        (("own_money", "own_money"), False),
        (("petty_cash", "own_money"), False),
    ],
)
def test_one_card_is_not_the_funds_and_somebodys_own(tenders: tuple[str, str], found: bool) -> None:
    papers = [
        paper("R-1", tender=tenders[0], last4="4418"),
        paper("R-2", buyer=JUN, tender=tenders[1], last4="4418"),
    ]
    looks = one_card(papers)
    assert bool(looks) is found
    assert all(look.people == {JUN} for look in looks)


def test_no_figures_and_other_figures_of_a_card_say_nothing() -> None:
    assert one_card([paper("R-1", tender="fund_card"), paper("R-2")]) == []
    assert one_card([paper("R-1", tender="fund_card", last4="7702"), paper("R-2", last4="4418")]) == []


def unit(code: str, due: date, buyer: int = TAVI) -> OldUnit:
    return OldUnit(code, "Old alternator", "Gantry Parts", m("55.00"), due, buyer, NAMES[buyer])


@pytest.mark.parametrize(
    ("late", "found"),
    [((0, 0), False), ((1,), False), ((30,), False), ((31,), True), ((1, 1), True), ((1, 0), False)],
)
def test_two_old_units_past_their_day_or_one_by_more_than_thirty_days(
    late: tuple[int, ...], found: bool
) -> None:
    units = [unit(f"K-{at}", DAY - timedelta(days=days)) for at, days in enumerate(late)]
    assert bool(old_units(units, DAY)) is found


def test_old_units_are_asked_of_whoever_bought_them() -> None:
    units = [
        unit("K-1", date(2026, 2, 20)),
        unit("K-2", date(2026, 2, 25)),
        unit("K-3", date(2026, 2, 25), JUN),
    ]
    (found,) = old_units(units, DAY)
    assert found.sentence == (
        "2 old units are past the day the store set, 110.00 in deposits, bought by Tavi Brandt: K-1 Old alternator, Gantry"
        " Parts, due 2026-02-20; K-2 Old alternator, Gantry Parts, due 2026-02-25."
    )


def test_a_key_is_of_the_papers_meant_in_any_order_and_of_no_others() -> None:
    assert key_of("twice", ["R-1", "R-2"]) == key_of("twice", ["R-2", "R-1"])
    keys = {key_of(kind, codes) for kind in ("twice", "card") for codes in (["R-1"], ["R-1", "R-2"])}
    assert len(keys) == 4
    assert all(len(key) <= 40 for key in keys)


def test_a_long_list_is_named_in_part_and_counted_whole() -> None:
    papers = [paper(f"R-{at:02}", "5.00") for at in range(9)]
    (found,) = same_amounts(papers)
    assert "was paid 9 times" in found.sentence
    assert "and 3 more" in found.sentence
    assert len(found.codes) == 9
