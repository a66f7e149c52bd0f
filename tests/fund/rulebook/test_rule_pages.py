from collections.abc import Callable
from datetime import date

from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.ledger.actions import close_month, post
from fund.ledger.chart import BANK, GIFTS
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.rulebook.queries import rule, rule_states

ForPerson = Callable[[Person], Client]


def change(client: Client, name: str, value: str, day: str, reason: str = "The board decided.") -> str:
    form = {"value": value, "valid_from": day, "reason": reason}
    return client.post(reverse("rulebook:rule", args=[name]), form, follow=True).content.decode()


def test_a_changed_rule_holds_from_its_day_on(owner: Person, client_for: ForPerson) -> None:
    page = change(client_for(owner), "reserve_floor", "1,200.00", "2026-04-01")
    assert "Reserve the owner keeps back: 1,200.00 from 2026-04-01." in page
    assert rule("reserve_floor", date(2026, 3, 31)) == Money(100000)
    assert rule("reserve_floor", date(2026, 4, 1)) == Money(120000)


def test_a_value_to_come_is_listed_beside_the_one_of_today(owner: Person, client_for: ForPerson) -> None:
    change(client_for(owner), "core_days", "45", "2026-04-01")
    state = next(state for state in rule_states() if state.spec.name == "core_days")
    assert (state.value, [row.value for row in state.to_come]) == ("30", ["45"])
    assert "45 from 2026-04-01" in client_for(owner).get(reverse("rulebook:rules")).content.decode()


def test_a_value_of_the_wrong_kind_comes_back_with_what_was_typed(
    owner: Person, client_for: ForPerson
) -> None:
    page = change(client_for(owner), "reserve_floor", "a lot", "2026-04-01")
    assert "is not an amount of money" in page
    assert 'value="a lot"' in page
    assert "The board decided." in page


def test_yes_or_no_is_a_choice_of_two(owner: Person, client_for: ForPerson) -> None:
    change(client_for(owner), "gifts_deductible", "yes", "2026-03-15")
    assert rule("gifts_deductible") is True


def test_a_rule_is_not_dated_back_into_a_closed_month(
    owner: Person, treasurer: Person, client_for: ForPerson
) -> None:
    lines = [dr(BANK, Money(2500)), cr(GIFTS, Money(2500))]
    post(by=treasurer, draft=EntryDraft("gift", date(2026, 2, 10), "A gift", lines))
    close_month(by=treasurer, month="2026-02")
    page = change(client_for(owner), "reserve_floor", "5.00", "2026-02-28")
    assert "2026-02-28 lies in a closed month, which was told by the rules as they stood." in page
    assert "Let the rule change on 2026-03-01 or later." in page
    assert 'value="5.00"' in page
    assert rule("reserve_floor", date(2026, 2, 28)) == Money(100000)
    change(client_for(owner), "reserve_floor", "5.00", "2026-03-01")
    assert rule("reserve_floor", date(2026, 3, 1)) == Money(500)


def test_the_first_rules_of_a_book_without_a_closed_month_may_begin_earlier(
    owner: Person, client_for: ForPerson
) -> None:
    change(client_for(owner), "reserve_floor", "5.00", "2025-01-01")
    assert rule("reserve_floor", date(2025, 1, 1)) == Money(500)


def test_an_unknown_rule_is_not_found(owner: Person, client_for: ForPerson) -> None:
    assert client_for(owner).get(reverse("rulebook:rule", args=["nothing"])).status_code == 404


def test_nobody_but_the_owner_changes_rules(treasurer: Person, client_for: ForPerson) -> None:
    assert client_for(treasurer).get(reverse("rulebook:rules")).status_code == 403
