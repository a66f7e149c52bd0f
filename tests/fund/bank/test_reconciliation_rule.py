"""The statement of reconciliation, against published reconciliations."""

from dataclasses import dataclass
from datetime import date

import pytest

from fund.bank.rules_reconciling import Item, Reckoning, frozen, same_figures, thawed
from fund.money import Money


@dataclass(frozen=True)
class Published:
    """Whole currency units as printed; amounts on their side signed as they move it."""

    name: str
    bank: int
    in_transit: tuple[int, ...]
    outstanding: tuple[int, ...]
    bank_errors: tuple[int, ...]
    books: int
    only_bank: tuple[int, ...]
    book_errors: tuple[int, ...]
    agreed: int


# OpenStax, Principles of Accounting vol. 1 (CC BY-NC-SA 4.0), 8.6: the worked example and the exercises and problems of the
# chapter; figures only. In the worked example the printed entry says Dr Cash 61,000, which does not balance its credits of
# 60,000 and 1,800; the reconciliation itself holds with 61,800.
PUBLISHED = [
    Published("Feeter Plumbing, 31 July", 77_040, (34_300,), (9_620, 10_000), (320,), 32_760, (60_000, 1_800, -2_200, -80),
              (-240,), 92_040),
    Published("exercise 3", 3_678, (321,), (108, 334), (), 2_547, (1_000, 35, -25), (), 3_557),
    Published("exercise 4", 4_587, (1_546,), (956,), (), 5_577, (56, -456), (), 5_177),
    Published("exercise 5", 6_988, (1_600,), (599, 1_423), (75,), 6_626, (-75,), (90,), 6_641),
    Published("problem B3", 4_021, (1_111,), (679,), (), 2_928, (1_325, 235, -35), (), 4_453),
    Published("problem B4", 7_651, (2_588,), (489,), (), 10_595, (121, -966), (), 9_750),
    Published("problem B5", 12_565, (2_509,), (1_777,), (412,), 13_744, (-125,), (90,), 13_709),
]  # fmt: skip


def _items(amounts: tuple[int, ...], sign: int = 1) -> tuple[Item, ...]:
    return tuple(
        Item(f"entry {at}", f"item {at}", date(2026, 3, 1), Money(sign * amount * 100))
        for at, amount in enumerate(amounts)
    )


def reckoning(case: Published) -> Reckoning:
    return Reckoning(
        statement=Money(case.bank * 100),
        books=Money(case.books * 100),
        in_transit=_items(case.in_transit),
        outstanding=_items(case.outstanding, -1),
        bank_errors=_items(case.bank_errors),
        only_bank=_items(case.only_bank),
        book_errors=_items(case.book_errors),
    )


@pytest.mark.parametrize("case", PUBLISHED, ids=lambda case: case.name)
def test_a_published_reconciliation_comes_to_its_agreed_balance(case: Published) -> None:
    found = reckoning(case)
    assert (found.bank_side, found.book_side) == (Money(case.agreed * 100), Money(case.agreed * 100))
    assert not found.difference


def test_the_printed_entry_of_the_worked_example_is_800_off() -> None:
    """The misprint: with 61,000 instead of 61,800 the sides would be 800 apart."""
    right = PUBLISHED[0]
    misprint = Published(right.name, right.bank, right.in_transit, right.outstanding, right.bank_errors, right.books,
                         (61_000, -2_200, -80), right.book_errors, right.agreed)  # fmt: skip
    assert str(reckoning(misprint).difference) == "800.00"


def test_an_item_forgotten_on_one_side_is_the_difference() -> None:
    case = PUBLISHED[1]
    without = Published(
        case.name, case.bank, (), case.outstanding, (), case.books, case.only_bank, (), case.agreed
    )
    assert str(reckoning(without).difference) == "-321.00"


def test_a_frozen_reckoning_comes_back_with_every_figure() -> None:
    found = reckoning(PUBLISHED[2])
    assert same_figures(thawed(frozen(found)), found)
    assert frozen(found)["adjusted"] == 517_700


@pytest.mark.parametrize(
    ("minor", "age", "words"),
    [
        (-16_129, 60, ""),
        (-16_129, 61, "whether it arrived"),
        (-16_129, 120, "stop it"),
        (500, 30, ""),
        (500, 31, "where it is"),
    ],
)
def test_old_items_say_what_is_done_about_them(minor: int, age: int, words: str) -> None:
    """Sixty days to ask and 90 to 180 to write anew are common practice."""
    advice = Item("entry 1", "x", date(2026, 3, 1), Money(minor), age).advice
    assert words in advice if words else not advice
