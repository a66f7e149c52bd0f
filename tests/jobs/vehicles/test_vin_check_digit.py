"""The check digit of 49 CFR 565.15(c) against numbers others have published."""

import pytest

from jobs.vehicles.rules import check_digit, tidy_vin, vin_warning, weighted_sum

# VIN, weighted sum, digit at position 9, where it was published.
PUBLISHED = [
    ("1G4AH59H45G118341", 411, "4"),  # 49 CFR 565.15(c), Table V, the rule's own sample
    ("1J9RP1A36A1644345", 314, "6"),  # NHTSA, outline for new manufacturers
    ("JH2RC3605MM101581", 280, "5"),  # vsource.org, VIN page
    ("1M8GDM9AXKP042788", 351, "X"),  # the widely printed example of remainder 10
    ("1FAPP64R7LH123456", 403, "7"),  # tbirdregistry.com, VIN page
    ("1G1BL52P7TR115520", 337, "7"),  # tech.firebirdv6.com, VIN page
    ("1" * 17, 89, "1"),  # the all-ones check: 89 = 8 x 11 + 1, worked by hand
]


@pytest.mark.parametrize(("vin", "weighted", "digit"), PUBLISHED)
def test_a_published_number_has_its_published_sum_and_digit(vin: str, weighted: int, digit: str) -> None:
    assert weighted_sum(vin) == weighted
    assert check_digit(vin) == digit
    assert vin[8] == digit
    assert vin_warning(vin) == ""


@pytest.mark.parametrize(("vin", "_weighted", "digit"), PUBLISHED)
def test_any_other_digit_at_position_nine_warns_and_names_the_right_one(
    vin: str, _weighted: int, digit: str
) -> None:
    for other in "0123456789X":
        if other != digit:
            warning = vin_warning(vin[:8] + other + vin[9:])
            assert f"Position 9 is {other}" in warning
            assert f"ask for {digit}" in warning


@pytest.mark.parametrize(("letter", "meant"), [("I", "1"), ("O", "0"), ("Q", "0")])
def test_letters_that_no_vin_holds_are_named_with_their_place(letter: str, meant: str) -> None:
    warning = vin_warning("1M8GDM9AXKP" + letter + "42788")
    assert f"Position 12 is the letter {letter}" in warning
    assert f"Is it {meant}?" in warning


def test_a_short_vin_says_how_many_characters_it_has() -> None:
    assert "has 16 characters" in vin_warning("1M8GDM9AXKP04278")
    assert "has 18 characters" in vin_warning("1M8GDM9AXKP0427881")


def test_a_character_that_is_neither_digit_nor_letter_is_named() -> None:
    assert "Position 2 is “*”" in vin_warning("1*8GDM9AXKP042788")


def test_blanks_dashes_and_small_letters_do_not_matter() -> None:
    assert tidy_vin(" 1m8gdm9ax-kp042788 ") == "1M8GDM9AXKP042788"
    assert vin_warning("1m8g dm9a xkp0 42788") == ""


def test_no_vin_gives_no_warning() -> None:
    assert vin_warning("  ") == ""
