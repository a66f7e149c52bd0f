"""A page reads the dated rules once; nothing that may write rests on a rule read before, and nothing outlives a change."""

from collections.abc import Callable
from datetime import date

import pytest
from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.test import Client, RequestFactory
from django.test.utils import CaptureQueriesContext

from fund.access.models import Person
from fund.money import Money
from fund.rulebook.actions import set_rule
from fund.rulebook.kept import keep_rules
from fund.rulebook.queries import rule, rules_on

pytestmark = pytest.mark.django_db


def asked(method: str, view: Callable[[HttpRequest], HttpResponse]) -> int:
    """How often the rules were read while a page was answered."""
    with CaptureQueriesContext(connection) as queries:
        keep_rules(view)(RequestFactory().generic(method, "/"))
    return sum("fund_datedrule" in query["sql"] and query["sql"].startswith("SELECT") for query in queries)


def reading(*_: object) -> HttpResponse:
    assert rule("owner_limit") == Money(750_00)
    assert rule("tolerance_percent") == rules_on()["tolerance_percent"]
    assert rule("owner_limit", date(2020, 1, 1)) == Money(750_00)
    return HttpResponse()


@pytest.mark.parametrize(("method", "times"), [("GET", 1), ("HEAD", 1), ("POST", 4), ("DELETE", 4)])
def test_a_page_that_only_reads_asks_once_and_one_that_may_write_asks_each_time(
    method: str, times: int
) -> None:
    assert asked(method, reading) == times


def test_a_rule_changed_between_two_pages_counts_on_the_second(owner: Person) -> None:
    assert asked("GET", reading) == 1
    set_rule(by=owner, name="owner_limit", value="300.00", valid_from=date(2026, 3, 15), reason="Smaller")

    def look(_: HttpRequest) -> HttpResponse:
        assert (rule("owner_limit"), rules_on()["owner_limit"]) == (Money(300_00), Money(300_00))
        assert rule("owner_limit", date(2026, 3, 14)) == Money(750_00)
        return HttpResponse()

    assert asked("GET", look) == 1


def test_a_rule_written_within_a_page_counts_at_once(owner: Person) -> None:
    def change(_: HttpRequest) -> HttpResponse:
        assert rule("owner_limit") == Money(750_00)
        set_rule(by=owner, name="owner_limit", value="300.00", valid_from=date(2026, 3, 15), reason="Smaller")
        assert rule("owner_limit") == Money(300_00)
        return HttpResponse()

    keep_rules(change)(RequestFactory().get("/"))
    assert rule("owner_limit") == Money(300_00)


def test_nothing_is_kept_after_a_page_that_failed(owner: Person) -> None:
    def fail(_: HttpRequest) -> HttpResponse:
        assert rule("owner_limit") == Money(750_00)
        raise ValueError("broken")

    with pytest.raises(ValueError, match="broken"):
        keep_rules(fail)(RequestFactory().get("/"))
    set_rule(by=owner, name="owner_limit", value="300.00", valid_from=date(2026, 3, 15), reason="Smaller")
    assert rule("owner_limit") == Money(300_00)


def test_today_reads_the_rules_once(owner: Person, client_for: Callable[[Person], Client]) -> None:
    client = client_for(owner)
    with CaptureQueriesContext(connection) as queries:
        assert client.get("/crew/").status_code == 200
    assert sum('FROM "fund_datedrule"' in query["sql"] for query in queries) == 1
