"""What is taken from the shelf for a repair passes the doors that buying passes: when its work ended, and who takes it."""

from collections.abc import Callable, Iterator
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.commitments.actions import end_cost_object
from fund.ledger.queries import balance, cost_of
from fund.receipts import gates
from fund.receipts.actions_shelf import issue_from_shelf
from fund.receipts.models import ShelfIssue
from fund.refusal import BadInput, NotReady, TwoPeopleNeeded
from fund.trail.models import TrailLine
from tests.fund.receipts.makers import bought, entry_lines, line, m, paper

ClientFor = Callable[[Person], Client]
ENDED, AFTER = date(2026, 3, 5), date(2026, 3, 6)


@pytest.fixture
def coolant(volunteer: Person, repair: Callable[..., str]) -> str:
    repair()
    quarts = line("coolant", "113.88", "shelf", quantity=12_000, unit="quart")
    bought(volunteer, paper(volunteer, "123.27", "9.39", quarts))
    return "RO-0001"


@pytest.fixture
def handed_back(coolant: str, owner: Person) -> str:
    end_cost_object(by=owner, cost_object=coolant, reason="handed back", on=ENDED)
    return coolant


def _untouched() -> None:
    assert (ShelfIssue.objects.count(), balance("1200")) == (0, m("123.27"))


def test_nothing_is_taken_for_a_repair_that_was_handed_back_before(
    handed_back: str, volunteer: Person
) -> None:
    with pytest.raises(NotReady, match="RO-0001 ended on 2026-03-05, before this was taken on 2026-03-06"):
        issue_from_shelf(by=volunteer, item="coolant", quantity=9000, cost_object=handed_back, on=AFTER)
    with pytest.raises(
        NotReady, match="before this was taken"
    ):  # a reason opens no door that a receipt has not
        issue_from_shelf(
            by=volunteer, item="coolant", quantity=9000, cost_object=handed_back, on=AFTER, late_reason="leak"
        )
    _untouched()


def test_what_was_taken_before_the_hand_back_is_written_down_late(
    handed_back: str, volunteer: Person
) -> None:
    taken = issue_from_shelf(by=volunteer, item="coolant", quantity=9000, cost_object=handed_back, on=ENDED)
    assert entry_lines(taken[0].entry_id) == [("5010", "92.45", "RO-0001", ""), ("1200", "-92.45", "", "")]


def test_for_a_comeback_it_is_taken_later_with_a_reason(handed_back: str, volunteer: Person) -> None:
    take = {"item": "coolant", "quantity": 9000, "cost_object": handed_back, "on": AFTER, "home": "comeback"}
    with pytest.raises(BadInput, match="Say why this comes later"):
        issue_from_shelf(by=volunteer, **take)  # type: ignore[arg-type]
    _untouched()
    taken = issue_from_shelf(by=volunteer, late_reason="hose split again", **take)  # type: ignore[arg-type]
    assert entry_lines(taken[0].entry_id) == [("5060", "92.45", "RO-0001", ""), ("1200", "-92.45", "", "")]
    assert "hose split again" in TrailLine.objects.filter(action="shelf.issue").get().text


def test_the_shop_takes_at_any_time(handed_back: str, volunteer: Person) -> None:
    issue_from_shelf(by=volunteer, item="coolant", quantity=3000, on=AFTER, home="supplies")
    assert cost_of(handed_back) == m("0.00")


@pytest.fixture
def tied(coolant: str, volunteer: Person) -> Iterator[Person]:
    """A door as the repairs' side puts up, which lets everyone through but one person."""

    def refuse(person: Person, cost_object: str) -> None:
        if person == volunteer and cost_object == coolant:
            raise TwoPeopleNeeded(f"{person.label} has a tie to the household of {cost_object}.")

    gates.GATES.append(refuse)
    yield volunteer
    gates.GATES.remove(refuse)


def test_whoever_may_not_buy_for_a_repair_takes_nothing_from_the_shelf_for_it(
    tied: Person, coolant: str, volunteer2: Person
) -> None:
    for home in ("", "part", "comeback"):
        with pytest.raises(TwoPeopleNeeded, match="Tavi Brandt has a tie"):
            issue_from_shelf(by=tied, item="coolant", quantity=9000, cost_object=coolant, on=AFTER, home=home)
    _untouched()
    issue_from_shelf(by=tied, item="coolant", quantity=1000, on=AFTER, home="supplies")
    issue_from_shelf(by=volunteer2, item="coolant", quantity=9000, cost_object=coolant, on=AFTER)
    assert cost_of(coolant) == m("92.45")


def _typed(**change: str) -> dict[str, str]:
    return {
        "item": "quart|coolant", "quantity": "9", "home": "", "cost_object": "RO-0001", "on": "2026-03-06", **change,
    }  # fmt: skip


def test_the_page_says_so_before_it_asks(
    handed_back: str, tied: Person, volunteer2: Person, client_for: ClientFor
) -> None:
    answer = client_for(volunteer2).post(reverse("shelf:issue"), _typed())
    assert answer.status_code == 422
    assert "before this was taken on 2026-03-06" in answer.content.decode()
    answer = client_for(tied).post(reverse("shelf:issue"), _typed(on="2026-03-05"))
    assert answer.status_code == 422
    assert "Tavi Brandt has a tie to the household of RO-0001." in answer.content.decode()
    _untouched()


def test_the_page_takes_the_reason_for_a_comeback(
    handed_back: str, volunteer: Person, client_for: ClientFor
) -> None:
    page, typed = client_for(volunteer), _typed(home="comeback")
    assert "Say why this comes later" in page.post(reverse("shelf:issue"), typed).content.decode()
    typed |= {"late_reason": "hose split again"}
    assert "RO-0001 is charged 92.45." in page.post(reverse("shelf:issue"), typed).content.decode()
    page.post(reverse("shelf:issue"), {**typed, "confirm": "yes"})
    assert balance("5060") == m("92.45")
