"""Hours in tenths, their worth, and the days they may carry."""

from datetime import date

import pytest

from fund.money import Money
from fund.refusal import BadInput
from jobs.hours.rules import (
    Service,
    Work,
    hours_text,
    is_recognized,
    outside_days,
    parse_tenths,
    recognized,
    share_evenly,
    too_many,
    worth,
)

IN, OUT, TODAY = date(2026, 3, 2), date(2026, 3, 9), date(2026, 3, 15)


@pytest.mark.parametrize(
    ("text", "tenths"),
    [("1.5", 15), ("2", 20), (" 0.4 h ", 4), (".7", 7), ("2,5", 25), ("1.50", 15), ("3.", 30), ("16.0", 160)]
    + [
        ("1:30", 15),
        ("0:06", 1),
        ("1:48", 18),
        ("2h30", 25),
        ("1 h 12 min", 12),
        ("90 min", 15),
        ("16:00", 160),
    ],
)
def test_hours_are_read_in_tenths(text: str, tenths: int) -> None:
    assert parse_tenths(text) == tenths


@pytest.mark.parametrize(
    "text", ["", "h", "abc", "-1", "1:3", "1:75", "1:30:00", "1.5.0", "1e1", "１.5", "1/2", "9999"]
)
def test_what_is_no_number_of_hours_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(BadInput, match="Write hours in tenths, like 1.5"):
        parse_tenths(text)


def test_a_quarter_hour_is_refused_and_the_two_tenths_beside_it_are_named() -> None:
    with pytest.raises(BadInput) as refusal:
        parse_tenths("1.25 h")
    assert (
        refusal.value.sentence
        == "1.25 h is not in tenths of an hour. Write 1.2 or 1.3; a tenth is six minutes."
    )


@pytest.mark.parametrize(
    ("text", "near"), [("1:45", "1.7 or 1.8"), ("50 min", "0.8 or 0.9"), ("0:03", "0.1")]
)
def test_minutes_between_two_tenths_are_named_with_them(text: str, near: str) -> None:
    with pytest.raises(BadInput) as refusal:
        parse_tenths(text)
    assert (
        refusal.value.sentence == f"{text} is not in tenths of an hour. Write {near}; a tenth is six minutes."
    )


def test_less_than_a_tenth_is_told_to_be_a_tenth() -> None:
    with pytest.raises(BadInput, match=r"Write 0\.1; a tenth"):
        parse_tenths("0.05")


@pytest.mark.parametrize("text", ["0", "0.0"])
def test_zero_hours_are_refused(text: str) -> None:
    with pytest.raises(BadInput, match="more than zero"):
        parse_tenths(text)


def test_tenths_are_written_with_one_place() -> None:
    assert [hours_text(tenths) for tenths in (15, 4, 160, -24)] == ["1.5", "0.4", "16.0", "-2.4"]


@pytest.mark.parametrize(
    ("tenths", "people", "parts"), [(30, 2, [15, 15]), (25, 2, [13, 12]), (1, 2, [1, 0])]
)
def test_shared_hours_add_up_and_the_first_takes_the_odd_tenth(
    tenths: int, people: int, parts: list[int]
) -> None:
    assert share_evenly(tenths, people) == parts


def test_a_year_of_hours_at_the_published_mean_is_the_published_yearly_wage() -> None:
    """BLS, Occupational Employment and Wage Statistics, May 2023, 49-3031: mean 28.81 an hour; 59,920 a year
    is printed after rounding 28.81 x 2,080 hours to tens of dollars."""
    year = worth(20_800, Money(28_81))
    assert year == Money(59_924_80)
    assert round(year.minor / 1000) * 10 == 59_920


@pytest.mark.parametrize(
    ("tenths", "minor"),
    [(24, 69_14), (18, 51_86), (40, 115_24), (9, 25_93), (1, 2_88), (5, 14_41)],
)
def test_worth_is_rounded_half_up_to_the_cent(tenths: int, minor: int) -> None:
    """2.4 x 28.81 = 69.144; 1.8 x = 51.858; 0.9 x = 25.929; 0.1 x = 2.881; 0.5 x = 14.405 goes up."""
    assert worth(tenths, Money(28_81)) == Money(minor)


def test_sixteen_hours_fill_a_day_and_a_tenth_more_is_refused() -> None:
    assert too_many(100, 60, "Tavi Brandt", IN) is None
    assert too_many(100, 61, "Tavi Brandt", IN) == (
        "16.1 h is more than one person can work in a day. Tavi Brandt already has 10.0 h on Mar 2, 2026. "
        "The limit is 16.0 h."
    )
    assert too_many(0, 161, "Tavi Brandt", IN) is not None


@pytest.mark.parametrize(
    ("on", "work", "refused"),
    [
        (IN, Work.REPAIR, None),
        (OUT, Work.REPAIR, None),
        (date(2026, 3, 1), Work.REPAIR, "before that"),
        (date(2026, 3, 10), Work.REPAIR, "must be a recheck, comeback work or office work"),
        (date(2026, 3, 10), Work.RECHECK, None),
        (date(2026, 3, 10), Work.COMEBACK, None),
        (date(2026, 3, 10), Work.OFFICE, None),
        (date(2026, 3, 16), Work.OFFICE, "has not come yet"),
        (OUT, Work.RECHECK, None),
        (date(2026, 3, 8), Work.RECHECK, "would be before that. Choose work on the vehicle"),
        (date(2026, 3, 8), Work.COMEBACK, "would be before that. Choose work on the vehicle"),
        (date(2025, 11, 22), Work.RECHECK, "came in on Mar 2, 2026"),
        (date(2025, 11, 22), Work.OFFICE, None),
    ],
)
def test_work_lies_between_check_in_and_hand_back(on: date, work: Work, refused: str | None) -> None:
    sentence = outside_days(on, today=TODAY, work=work, checked_in=IN, handed_back=OUT)
    assert sentence is None if refused is None else refused in str(sentence)


@pytest.mark.parametrize("work", [Work.RECHECK, Work.COMEBACK])
def test_what_comes_after_a_hand_back_asks_for_one(work: Work) -> None:
    sentence = outside_days(TODAY, today=TODAY, work=work, checked_in=IN, handed_back=None)
    assert str(sentence).startswith("The vehicle was not handed back, and a recheck or comeback work")


def test_comeback_work_on_a_comeback_needs_no_hand_back_of_its_own() -> None:
    def said(on: date) -> str | None:
        return outside_days(
            on, today=TODAY, work=Work.COMEBACK, checked_in=IN, handed_back=None, came_back=True
        )

    assert said(TODAY) is None
    assert "came in on Mar 2, 2026" in str(said(date(2026, 3, 1)))


@pytest.mark.parametrize(
    ("on", "refused"),
    [
        (date(2025, 3, 14), None),
        (date(2025, 3, 13), "more than a year ago"),
        (date(2020, 1, 1), "more than a year ago"),
    ],
)
def test_office_hours_of_another_year_are_a_slip_of_the_finger(on: date, refused: str | None) -> None:
    sentence = outside_days(on, today=TODAY, work=Work.OFFICE, checked_in=None, handed_back=None)
    assert sentence is None if refused is None else refused in str(sentence)


VET = Service(Money(8_000_00), needs_skill=True, giver_has_skill=True, would_be_bought=True)
BOOKS = Service(Money(4_500_00), needs_skill=True, giver_has_skill=True, would_be_bought=True)
NURSE_AT_THE_DESK = Service(Money(3_000_00), giver_has_skill=True)
DOG_WALKER = Service(Money(2_000_00))


def test_contributed_services_of_a_published_exam_card() -> None:
    """Published CPA study card on contributed services: a vet's care 8,000 and prepared books 4,500 are
    recognized, a nurse as receptionist 3,000 and a teacher walking dogs 2,000 are not: 12,500."""
    assert recognized([VET, BOOKS, NURSE_AT_THE_DESK, DOG_WALKER]) == Money(12_500_00)


def test_a_published_plumber_at_a_clinic_is_recognized_in_full() -> None:
    """Published exam question: free plumbing at a clinic, worth 12,000, is expense and revenue of 12,000."""
    plumber = Service(Money(12_000_00), needs_skill=True, giver_has_skill=True, would_be_bought=True)
    assert recognized([plumber]) == Money(12_000_00)


def test_published_salaries_expense_with_volunteers_in_a_budgeted_post() -> None:
    """Published exam question: paid staff 150,000; volunteers fill a budgeted secretary's post worth 10,000;
    helpers at an event worth 15,000: salaries expense is 160,000."""
    secretaries = Service(Money(10_000_00), needs_skill=True, giver_has_skill=True, would_be_bought=True)
    event = Service(Money(15_000_00))
    assert Money(150_000_00) + recognized([secretaries, event]) == Money(160_000_00)


def test_a_skilled_person_doing_unskilled_work_is_not_recognized() -> None:
    """Published exam question on the same standard: nothing is recognized."""
    assert not is_recognized(Service(Money(500_00), giver_has_skill=True, would_be_bought=True))


def test_a_service_that_makes_an_asset_is_recognized_without_a_skill() -> None:
    """FASB ASC 958-605-25-16, first half of the test."""
    assert is_recognized(Service(Money(700_00), makes_asset=True))
