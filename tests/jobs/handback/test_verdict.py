"""When a road test passes. Practice of the trade: prove the complaint gone under the owner's conditions."""

from dataclasses import replace

import pytest

from jobs.handback.rules import SAFETY_LINES, Drive, Result, least, refusals, verdict

GOOD = Drive(
    odometer_out=104_220,
    odometer_in=104_238,
    minutes=40,
    complaint_returned=False,
    safety={name: True for name, _ in SAFETY_LINES},
)
CEDAR = replace(GOOD, intermittent=True, owner_minutes=25, owner_miles=12)


def test_a_good_drive_passes() -> None:
    assert verdict(GOOD).result is Result.PASS
    assert verdict(GOOD).reasons == ()


@pytest.mark.parametrize(("name", "words"), SAFETY_LINES)
def test_every_safety_line_must_be_yes(name: str, words: str) -> None:
    found = verdict(replace(GOOD, safety=GOOD.safety | {name: False}))
    assert found.result is Result.FAIL
    assert found.reasons == (f"Not yes: {words}.",)


def test_a_safety_line_nobody_answered_is_no() -> None:
    assert len(verdict(replace(GOOD, safety={})).reasons) == len(SAFETY_LINES)


def test_a_complaint_that_came_back_is_a_fail() -> None:
    found = verdict(replace(GOOD, complaint_returned=True))
    assert (found.result, found.reasons) == (Result.FAIL, ("The complaint came back on the drive.",))


@pytest.mark.parametrize("coming_in", [104_220, 104_219])
def test_a_drive_needs_miles_on_the_odometer(coming_in: int) -> None:
    assert verdict(replace(GOOD, odometer_in=coming_in)).result is Result.FAIL


def test_an_intermittent_fault_cannot_pass_on_a_shorter_drive_than_the_owners_own() -> None:
    found = verdict(replace(CEDAR, minutes=12))
    assert found.result is Result.FAIL
    assert found.reasons == (
        "The owner's fault shows after 25 minutes; drive at least 38 (1.5 times), this drive was 12.",
    )


@pytest.mark.parametrize(("minutes", "result"), [(24, Result.FAIL), (25, Result.PASS), (26, Result.PASS)])
def test_the_owners_own_minutes_are_just_enough(minutes: int, result: Result) -> None:
    """A fund that keeps the factor at 1."""
    assert verdict(replace(CEDAR, minutes=minutes), factor_tenths=10).result is result


@pytest.mark.parametrize(("miles", "result"), [(11, Result.FAIL), (12, Result.PASS)])
def test_the_owners_own_miles_are_just_enough(miles: int, result: Result) -> None:
    drive = replace(CEDAR, odometer_in=CEDAR.odometer_out + miles)
    assert verdict(drive, factor_tenths=10).result is result


def test_the_funds_factor_lengthens_the_drive_and_is_rounded_up() -> None:
    assert least(25, 15) == 38  # 37.5
    assert verdict(replace(CEDAR, minutes=37), factor_tenths=15).result is Result.FAIL
    assert verdict(replace(CEDAR, minutes=38), factor_tenths=15).result is Result.PASS


def test_a_steady_fault_needs_no_owners_minutes() -> None:
    assert verdict(replace(CEDAR, intermittent=False, minutes=5)).result is Result.PASS


def test_an_intermittent_fault_without_the_owners_figures_cannot_pass() -> None:
    found = verdict(replace(CEDAR, owner_minutes=None, owner_miles=None))
    assert found.reasons == (
        "The fault comes and goes: ask the owner after how many minutes or miles it shows.",
    )


def test_one_minute_is_written_in_the_singular() -> None:
    found = verdict(replace(CEDAR, owner_minutes=1, owner_miles=None, minutes=0))
    assert (
        "The owner's fault shows after 1 minute; drive at least 2 (1.5 times), this drive was 0."
        in found.reasons
    )


def test_could_not_duplicate_needs_the_same_long_drive_and_the_conditions() -> None:
    short = replace(CEDAR, minutes=12)
    assert refusals(Result.NOT_DUPLICATED, short, factor_tenths=10, note="town, warm")
    assert "conditions" in refusals(Result.NOT_DUPLICATED, CEDAR, factor_tenths=10, note=" ")[0]
    assert refusals(Result.NOT_DUPLICATED, CEDAR, factor_tenths=10, note="40 min, hill, 85 F") == []


def test_a_fail_needs_a_word_when_nothing_else_speaks_against_a_pass() -> None:
    assert refusals(Result.FAIL, GOOD, factor_tenths=10, note="") == [
        "Nothing here speaks against a pass. Say in the note what failed."
    ]
    assert refusals(Result.FAIL, GOOD, factor_tenths=10, note="whine at 40 mph") == []


def test_a_fail_needs_no_drive_when_the_brakes_are_wrong() -> None:
    parked = replace(GOOD, odometer_in=GOOD.odometer_out, minutes=0, safety={})
    assert refusals(Result.FAIL, parked, factor_tenths=10, note="") == []


def test_an_odometer_that_ran_backwards_is_never_recorded() -> None:
    back = replace(GOOD, odometer_in=GOOD.odometer_out - 1)
    for result in Result:
        assert "lower than it went out" in refusals(result, back, factor_tenths=10, note="x")[0]
