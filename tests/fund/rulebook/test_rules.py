"""The fund's dated rules."""

from datetime import date

import pytest
from django.db import DatabaseError, connection, transaction

from fund.access.models import Person
from fund.money import Money
from fund.refusal import BadInput, NotAllowed
from fund.rulebook.actions import set_rule
from fund.rulebook.queries import rule, rules_on
from fund.rulebook.rules import RULES


def test_every_rule_starts_as_something_readable() -> None:
    for spec in RULES.values():
        spec.read(spec.start)


def test_a_rule_changes_from_its_day_on(owner: Person) -> None:
    set_rule(by=owner, name="reserve_floor", value="1,500.00", valid_from=date(2026, 4, 1), reason="winter")
    assert rule("reserve_floor", date(2026, 3, 31)) == Money(100_000)
    assert rule("reserve_floor", date(2026, 4, 1)) == Money(150_000)
    assert rules_on(date(2026, 5, 1))["reserve_floor"] == Money(150_000)
    set_rule(by=owner, name="reserve_floor", value="1200", valid_from=date(2026, 4, 1), reason="typed wrong")
    assert rule("reserve_floor", date(2026, 4, 1)) == Money(120_000)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("reserve_floor", "-5"),
        ("reserve_floor", "abc"),
        ("guideline_percent", "49"),
        ("guideline_percent", "two hundred"),
        ("guideline_percent", "٢٠٠"),
        ("gifts_deductible", "maybe"),
        ("fund_name", " "),
        ("no_such_rule", "1"),
    ],
)
def test_a_value_that_does_not_fit_is_refused(owner: Person, name: str, value: str) -> None:
    with pytest.raises(BadInput):
        set_rule(by=owner, name=name, value=value, valid_from=date(2026, 4, 1), reason="trial")


def test_only_an_owner_changes_a_rule_and_says_why(owner: Person, treasurer: Person) -> None:
    with pytest.raises(NotAllowed):
        set_rule(by=treasurer, name="core_days", value="45", valid_from=date(2026, 4, 1), reason="why")
    with pytest.raises(BadInput, match="why"):
        set_rule(by=owner, name="core_days", value="45", valid_from=date(2026, 4, 1), reason=" ")


def test_an_old_value_cannot_be_rewritten(owner: Person) -> None:
    set_rule(by=owner, name="core_days", value="45", valid_from=date(2026, 4, 1), reason="store rule")
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE fund_datedrule SET value = '60'")
