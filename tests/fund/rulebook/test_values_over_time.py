"""A rule's values over time, read at once: the newest row for a day wins, and nothing lies between two values."""

from datetime import date

from django.db.models import F

from fund.access.models import Person
from fund.money import Money
from fund.rulebook.actions import set_rule
from fund.rulebook.models import DatedRule
from fund.rulebook.queries import from_text, rule, rule_along, spans

MARCH, MAY = date(2026, 3, 1), date(2026, 5, 1)


def test_the_values_of_a_rule_follow_one_another_without_a_gap(owner: Person) -> None:
    for value, day in (("500.00", MAY), ("750.00", MARCH), ("600.00", MARCH)):
        set_rule(by=owner, name="owner_limit", value=value, valid_from=day, reason="tests")
    found = spans(["owner_limit", "missing_quarter"])
    assert [(span.value, span.since, span.until) for span in found["owner_limit"]] == [
        (Money(750_00), date.min, MARCH),  # as it starts
        (Money(600_00), MARCH, MAY),
        (Money(500_00), MAY, date.max),
    ]
    assert [(span.value, span.since, span.until) for span in found["missing_quarter"]] == [
        (2, date.min, date.max)
    ]
    for day in (date(2026, 2, 28), MARCH, date(2026, 4, 30), MAY):
        (here,) = (span for span in found["owner_limit"] if span.since <= day < span.until)
        assert here.value == rule("owner_limit", day)


def test_a_rule_read_along_with_other_rows_is_that_of_the_day(owner: Person) -> None:
    assert from_text("clock_factor_tenths", None) == 15  # as it starts
    for value, day in (("20", MARCH), ("30", MAY)):
        set_rule(by=owner, name="clock_factor_tenths", value=value, valid_from=day, reason="tests")
    for day in (date(2026, 2, 28), MARCH, MAY):
        text = DatedRule.objects.annotate(along=rule_along("clock_factor_tenths", day)).values_list(
            F("along")
        )
        assert from_text("clock_factor_tenths", text[0][0]) == rule("clock_factor_tenths", day)
