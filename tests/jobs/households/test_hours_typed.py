import pytest

from fund.refusal import BadInput
from jobs.households.rules import parse_hours


@pytest.mark.parametrize(
    ("text", "hundredths"), [("40", 4000), ("37.5", 3750), (" 8.25 ", 825), ("168", 16800)]
)
def test_hours_are_read_in_hundredths(text: str, hundredths: int) -> None:
    assert parse_hours(text) == hundredths


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("200", "200 hours a week is more than the 168 hours"),
        ("abc", "is not a number of hours"),
        ("", "is not a number of hours"),
        ("NaN", "more than 0"),
        ("-5", "more than 0"),
        ("0", "more than 0"),
        ("37.555", "more than two places"),
        ("Infinity", "more than 0"),
    ],
)
def test_hours_that_cannot_be_are_refused_in_words(text: str, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        parse_hours(text)
