"""Which entry a line of the bank is: strictest rule first, each suggestion with its reason."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from fund.bank.rules import AMOUNT, EXACT, SEVERAL
from fund.bank.rules_matching import Side, refs_of, suggest
from fund.bank.rules_sums import MOST, find_sum
from fund.money import Money, total

DAY = date(2026, 3, 10)


def side(key: int, minor: int, words: str = "", on: date = DAY) -> Side:
    return Side(key, on, Money(minor), words, refs_of(words))


def later(days: int) -> date:
    return DAY + timedelta(days=days)


def test_the_same_reference_beats_a_nearer_day() -> None:
    bank = [side(1, 102_098, "PATCH CIRCLE T-2610 TRANSFER")]
    books = [
        side(7, 102_098, "Payout T-2609 of Patch Circle"),
        side(8, 102_098, "Payout T-2610 of Patch Circle", later(-3)),
    ]
    (one,) = suggest(bank, books)
    assert (one.bank, one.books, one.way, one.sure) == ((1,), (8,), EXACT, True)
    assert one.why == "Amount and reference T-2610 agree, 3 days apart."


def test_a_reference_with_another_amount_is_no_match() -> None:
    assert suggest([side(1, 102_097, "T-2610")], [side(8, 102_098, "Payout T-2610")]) == []


def test_the_same_amount_within_the_days_is_suggested_with_its_distance() -> None:
    (one,) = suggest(
        [side(1, -11_800, "BLUFF ROAD MUTUAL", later(2))], [side(7, -11_800, "Bluff Road Mutual 9013")]
    )
    assert (one.books, one.way, one.why, one.sure) == (
        (7,),
        AMOUNT,
        "Same amount, 2 days apart; the words agree.",
        True,
    )


def test_of_two_equal_entries_the_one_with_the_same_words_is_taken_and_said_to_be_one_of_two() -> None:
    books = [side(7, -5_000, "Gantry Parts"), side(8, -5_000, "Millrace Tire", later(-6))]
    (one,) = suggest([side(1, -5_000, "MILLRACE TIRE LARKWATER")], books)
    assert (one.books, one.sure) == ((8,), False)
    assert "2 entries fit" in one.why


def test_a_check_may_come_after_months_but_a_deposit_may_not() -> None:
    assert suggest([side(1, -16_129, on=later(100))], [side(7, -16_129)])
    assert not suggest([side(1, 16_129, on=later(100))], [side(7, 16_129)])


def test_one_deposit_of_four_counts_is_found_as_their_sum() -> None:
    books = [side(7, 21_200), side(8, 25_000), side(9, 10_000), side(10, 5_000), side(11, 7_777)]
    (one,) = suggest([side(1, 61_200, "COUNTER DEPOSIT", later(1))], books)
    assert (one.books, one.way, one.sure) == ((7, 8, 9, 10), SEVERAL, False)
    assert one.why == "4 entries sum to it: 212.00 + 250.00 + 100.00 + 50.00 = 612.00."


def test_several_lines_of_the_bank_are_found_as_one_entry() -> None:
    bank = [side(1, -5_000, "RETURNED ITEM"), side(2, -1_200, "RETURNED ITEM FEE")]
    (one,) = suggest(bank, [side(7, -6_200, "Check 214 returned by the bank")])
    assert (one.bank, one.books) == ((1, 2), (7,))
    assert one.why == "2 lines of the bank sum to it: -50.00 + -12.00 = -62.00."


def test_a_line_that_the_bank_took_back_itself_needs_no_entry() -> None:
    (one,) = suggest([side(1, 7_500, "DEPOSIT"), side(2, -7_500, "DEPOSIT CORRECTION", later(2))], [])
    assert (one.bank, one.books, one.sure) == ((1, 2), (), False)


def test_two_sums_that_both_fit_are_not_guessed_at() -> None:
    books = [side(7, 3_000), side(8, 2_000), side(9, 4_000), side(10, 1_000)]
    assert suggest([side(1, 5_000)], books) == []


def test_a_search_without_end_is_given_up() -> None:
    parts = [side(n, 100_001 + n * 2) for n in range(30)]
    assert find_sum(side(99, 800_000), parts) == []


def test_no_line_and_no_entry_is_used_twice_among_ten_thousand() -> None:
    bank = [side(n, n % 400 - 200 or 1, on=later(n % 28)) for n in range(10_000)]
    found = suggest(bank, [side(n, n % 400 - 200 or 1, on=later(n % 28)) for n in range(3_000)])
    assert len({key for one in found for key in one.bank}) == sum(len(one.bank) for one in found)
    assert len({key for one in found for key in one.books}) == sum(len(one.books) for one in found) == 3_000


@given(st.lists(st.tuples(st.integers(-400, 400).filter(bool), st.integers(0, 20)), max_size=14),
       st.lists(st.tuples(st.integers(-400, 400).filter(bool), st.integers(0, 20)), max_size=14))  # fmt: skip
def test_every_suggestion_ties_to_the_cent(
    first: list[tuple[int, int]], second: list[tuple[int, int]]
) -> None:
    bank = [side(at, minor, on=later(days)) for at, (minor, days) in enumerate(first)]
    books = [side(at, minor, on=later(days)) for at, (minor, days) in enumerate(second)]
    for one in suggest(bank, books):
        assert total(bank[key].amount for key in one.bank) == total(books[key].amount for key in one.books)
        assert len(one.books) <= MOST and len(one.bank) <= MOST


def test_references_are_words_with_a_digit() -> None:
    assert refs_of("Payout T-2610 of Patch Circle", "check 00758, a 12") == {"T-2610", "758"}
