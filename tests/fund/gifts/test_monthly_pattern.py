"""Who gives monthly, who is being retried, who lapsed: the rule by itself, and the same asked of the database."""

from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fund.access.models import Person
from fund.gifts.actions import Charge, record_gift
from fund.gifts.models import Decline, Platform, Supporter
from fund.gifts.queries_supporters import pattern_now, supporters, with_pattern
from fund.gifts.rules_pattern import PATTERNS, pattern_of
from fund.money import Money
from tests.fund.gifts.cases import supporter

TODAY = date(2026, 3, 15)


@pytest.mark.parametrize(
    ("first", "latest", "months", "declined", "state"),
    [
        (None, None, 0, None, ""),
        (date(2026, 3, 1), date(2026, 3, 1), 1, None, ""),  # once is no pattern
        (date(2026, 1, 31), date(2026, 2, 28), 2, None, "active"),
        (date(2025, 11, 5), date(2026, 2, 5), 4, None, "active"),  # 38 days ago
        (date(2025, 11, 4), date(2026, 2, 4), 4, None, "lapsed"),  # 39 days ago
        (date(2025, 10, 4), date(2026, 2, 4), 4, date(2026, 3, 4), "retrying"),
        (date(2025, 10, 4), date(2026, 2, 4), 4, date(2026, 2, 3), "lapsed"),  # that one succeeded
        (
            date(2025, 8, 1),
            date(2025, 12, 1),
            5,
            date(2026, 2, 7),
            "lapsed",
        ),  # 36 days ago: nobody tries any more
        (date(2024, 12, 5), date(2025, 12, 5), 2, None, ""),  # a gift each Christmas is not monthly
        (date(2025, 12, 1), date(2026, 3, 1), 2, None, ""),  # half of the months is not more than half
        (date(2025, 12, 1), date(2026, 3, 1), 3, None, "active"),
    ],
)
def test_the_pattern_follows_its_rule(
    first: date | None, latest: date | None, months: int, declined: date | None, state: str
) -> None:
    assert pattern_of(first, latest, months, declined, TODAY).state == state


def test_a_card_that_fails_and_recovers_is_retrying_and_active_again_and_never_lapsed(
    treasurer: Person,
) -> None:
    ada = supporter(treasurer)
    patch = Platform.objects.get(code="patch-circle")

    def pay(day: date) -> None:
        charge = Charge(patch, f"ch-{day}")
        record_gift(
            by=treasurer, kind="platform", received_on=day, amount=Money(500), supporter=ada, charge=charge
        )

    pay(date(2025, 12, 31))
    pay(date(2026, 1, 31))
    Decline.objects.create(platform=patch, platform_ref="no1", supporter=ada, on=date(2026, 2, 28))
    seen = []
    for day in (date(2026, 2, 20), date(2026, 3, 12)):
        seen.append(pattern_now(supporters().get(), day).state)
    pay(date(2026, 3, 4))
    seen.append(pattern_now(supporters().get(), TODAY).state)
    assert seen == ["active", "retrying", "active"]
    assert pattern_now(supporters().get(), TODAY).words == "latest gift 2026-03-04"


@pytest.mark.django_db
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    gifts=st.lists(st.integers(0, 300), min_size=0, max_size=7),
    declines=st.lists(st.integers(0, 90), max_size=2),
)
def test_the_database_sorts_supporters_as_the_rule_does(
    treasurer: Person, gifts: list[int], declines: list[int]
) -> None:
    patch = Platform.objects.get(code="patch-circle")
    one = Supporter.objects.create(code=f"S-{Supporter.objects.count() + 1:04}", name="Somebody")
    for n, ago in enumerate(gifts):
        charge = Charge(patch, f"{one.code}-{n}")
        record_gift(
            by=treasurer,
            kind="platform",
            received_on=TODAY - timedelta(days=ago),
            amount=Money(500),
            supporter=one,
            charge=charge,
        )
    for n, ago in enumerate(declines):
        day = TODAY - timedelta(days=ago)
        Decline.objects.create(platform=patch, platform_ref=f"{one.code}-no{n}", supporter=one, on=day)
    state = pattern_now(supporters().get(pk=one.pk), TODAY).state
    found = [word for word in PATTERNS if with_pattern(supporters(), word, TODAY).filter(pk=one.pk).exists()]
    assert found == ([state] if state else [])
