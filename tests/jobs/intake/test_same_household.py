"""One household under two names and addresses: seen, put together, counted once, and parted again without loss."""

from datetime import date
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext

from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady, TwoPeopleNeeded
from jobs.eligibility.queries_rules import rules_applied
from jobs.households.actions import change_contact
from jobs.households.actions_merge import say_different
from jobs.households.models import Household
from jobs.households.rules import MemberFacts
from jobs.intake.actions import answer_relation, open_application
from jobs.intake.actions_same import merge_households, unmerge_households
from jobs.intake.models import Application
from jobs.intake.models_same import Merging
from jobs.intake.queries_same import alike_names, suspects
from jobs.repairs.actions import open_repair
from jobs.repairs.models import RepairOrder
from jobs.vehicles.actions import add_vehicle
from tests.jobs.intake.people import asking
from tests.jobs.intake.test_out_of_turn import eligible

DB = pytest.mark.django_db
BORN = date(1988, 4, 2)


def ask(by: Person, name: str, **told: Any) -> Application:
    nothing = {"phone": "", "email": f"{name.split()[0].lower()}@post.example", "address": ""}
    return open_application(by=by, asking=asking(name=name, **(nothing | told)))


def why(one: Application) -> dict[str, list[str]]:
    return {row.household.code: row.reasons for row in suspects(one.household)}


@DB
@pytest.mark.parametrize(
    ("first", "second", "reason"),
    [
        (
            {"vin": "1M8GDM9AXKP042788", "vehicle_year": 1989},
            {"vin": "1m8gdm9a xkp042788", "vehicle_year": 1989},
            "the same VIN",
        ),
        ({"plate": "LRK 2040"}, {"plate": "lrk-2040"}, "the same license plate"),
        ({"phone": "(212) 555-0142"}, {"phone": "+1 212 555 0142"}, "the same phone"),
        (
            {"address": "19 Mill Street, Apt 4, Larkwater"},
            {"address": "19 MILL ST #4"},
            "the same address",
        ),
    ],
)
def test_what_is_written_differently_is_still_seen_to_be_the_same(
    screener: Person, first: dict[str, Any], second: dict[str, Any], reason: str
) -> None:
    ask(screener, "Perpetua Vane", **first)
    assert why(ask(screener, "Ozias Thimble", **second)) == {"H-0001": [reason]}


@DB
def test_a_birth_date_with_a_surname_is_enough_and_a_birth_date_alone_is_not(screener: Person) -> None:
    ask(screener, "Perpetua Vane Ruiz", birth_date=BORN)
    assert why(ask(screener, "Nell Ruiz", birth_date=BORN)) == {
        "H-0001": ["someone with the same birth date and surname"]
    }
    assert why(ask(screener, "Ulla Oxbow", birth_date=BORN)) == {}


@DB
def test_a_name_spelled_otherwise_is_seen_among_those_born_on_the_same_day_only(screener: Person) -> None:
    ask(screener, "Katherine Marchbanke", birth_date=BORN)
    assert why(ask(screener, "Catherine Marchbank", birth_date=BORN)) == {
        "H-0001": ["someone born on the same day with a name much alike"]
    }
    assert why(ask(screener, "Katharine Marchbanks", birth_date=date(1988, 4, 3))) == {}


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ("Katherine Marchbank", "Catherine Marchbanks", True),
        ("José Núñez García", "Jose Nunez", True),
        ("Vane, Perpetua", "Perpetua Vane", True),
        ("Perpetua Vane", "Perpetua Oakapple", False),
        ("Ann Lee", "Bo Li", False),
        ("Perpetua", "Perpetua Vane", False),
        ("", "", False),
    ],
)
def test_names_are_alike_when_letters_or_order_differ_not_when_people_do(
    one: str, other: str, expected: bool
) -> None:
    assert alike_names(one, other) is expected
    assert alike_names(other, one) is expected


@pytest.fixture
def two(screener: Person, volunteer: Person) -> tuple[Application, Application]:
    """The same household twice: repaired for in January under one name, asking in March under another."""
    known = {"birth_date": BORN, "phone": "212 555 0142", "plate": "LRK 2040"}
    helped = eligible(screener, "Perpetua Vane", registered_on=date(2019, 5, 1), **known)
    vehicle = helped.household.vehicles.get()
    order = open_repair(by=volunteer, application=helped, vehicle=vehicle, complaint="Grinds", on=None)
    RepairOrder.objects.filter(pk=order.pk).update(state="handed back", handed_back_on=date(2026, 1, 20))
    people = [MemberFacts(name="Perpetua Vane", birth_date=BORN, relation="partner", adult=True)]
    told = asking(name="Ozias Thimble", phone="212 555 0199", plate="LRK-2040", complaint="Leaks")
    again = open_application(
        by=screener,
        asking=told,
        members=[MemberFacts(name="", relation="applicant", adult=True), *people],
    )
    return helped, again


@DB
def test_one_household_with_two_names_and_addresses_is_put_together_and_counts_once(
    two: tuple[Application, Application], screener: Person
) -> None:
    helped, again = two
    assert set(why(again)["H-0001"]) >= {
        "the same license plate",
        "someone with the same birth date and surname",
    }
    assert {row.rule: row.outcome for row in rules_applied(again)}["times"] == "pass"
    done = merge_households(
        by=screener, kept=helped.household, other=again.household, reason="Same plate; she is his wife."
    )
    assert "the same license plate" in done.reasons
    again = Application.objects.get(pk=again.pk)
    assert again.household == helped.household
    times = next(row for row in rules_applied(again) if row.rule == "times")
    assert (times.outcome, times.words) == (
        "fail",
        "1 repair given or promised in the last 12 months, the last on 2026-01-20; 1 is the limit.",
    )
    assert Household.objects.filter(merged_into=None).count() == 1


@DB
def test_after_merging_a_third_request_finds_the_household_under_either_name(
    two: tuple[Application, Application], screener: Person
) -> None:
    merge_households(by=screener, kept=two[0].household, other=two[1].household, reason="Same plate.")
    third = ask(screener, "Nell Carrow", phone="212-555-0199")
    assert why(third) == {"H-0001": ["the same phone"]}


@DB
def test_a_merging_that_was_wrong_is_taken_back_and_nothing_is_lost(
    two: tuple[Application, Application], screener: Person
) -> None:
    helped, again = two
    owned = _owned(helped.household), _owned(again.household)
    frozen = helped.decisions.get().snapshot
    merging = merge_households(
        by=screener, kept=helped.household, other=again.household, reason="Same plate."
    )
    change_contact(by=screener, household=Household.objects.get(pk=helped.household.pk), phone="212 555 0100")
    back = unmerge_households(by=screener, merging=merging, reason="He bought the car of her.")
    assert (back.merging, back.by) == (merging, screener)
    assert (_owned(helped.household), _owned(again.household)) == owned
    assert Household.objects.get(pk=again.household.pk).merged_into is None
    assert Merging.objects.get().reason == "Same plate."
    assert helped.decisions.get().snapshot == frozen
    assert "H-0001" in why(Application.objects.get(pk=again.pk))
    assert why(ask(screener, "Nell Carrow", phone="212 555 0199")) == {"H-0002": ["the same phone"]}


def _owned(household: Household) -> dict[str, list[str]]:
    return {
        name: sorted(str(row) for row in getattr(household, name).all())
        for name in ("applications", "vehicles", "repairs", "sightings", "members", "incomes")
    }


@DB
def test_what_comes_for_the_other_request_after_merging_goes_back_with_it(
    two: tuple[Application, Application], screener: Person, volunteer: Person
) -> None:
    helped, again = two
    merging = merge_households(
        by=screener, kept=helped.household, other=again.household, reason="Same plate."
    )
    kept = Household.objects.get(pk=helped.household.pk)
    new = add_vehicle(by=volunteer, household=kept, year=2015, vehicle_class="van")
    unmerge_households(by=screener, merging=merging, reason="Two people after all.")
    new.refresh_from_db()
    assert new.household == helped.household


@DB
def test_it_needs_a_reason_the_power_and_no_tie_and_happens_once(
    two: tuple[Application, Application], screener: Person, volunteer: Person
) -> None:
    kept, other = two[0].household, two[1].household
    with pytest.raises(NotAllowed):
        merge_households(by=volunteer, kept=kept, other=other, reason="Same plate.")
    with pytest.raises(BadInput, match="Write why"):
        merge_households(by=screener, kept=kept, other=other, reason=" ")
    with pytest.raises(BadInput, match="two different"):
        merge_households(by=screener, kept=kept, other=kept, reason="Same plate.")
    merging = merge_households(by=screener, kept=kept, other=other, reason="Same plate.")
    with pytest.raises(AlreadyDone):
        merge_households(by=screener, kept=kept, other=other, reason="Same plate.")
    with pytest.raises(BadInput, match="Write why"):
        unmerge_households(by=screener, merging=merging, reason="")
    unmerge_households(by=screener, merging=merging, reason="Two people after all.")
    with pytest.raises(AlreadyDone, match="taken back already"):
        unmerge_households(by=screener, merging=merging, reason="Again.")


@DB
def test_a_cousin_neither_merges_nor_parts(two: tuple[Application, Application], screener: Person) -> None:
    kept, other = two[0].household, two[1].household
    merging = merge_households(by=screener, kept=kept, other=other, reason="Same plate.")
    answer_relation(by=screener, application=two[0], tie=True, words="My cousin")
    with pytest.raises(TwoPeopleNeeded):
        unmerge_households(by=screener, merging=merging, reason="Two people after all.")


@DB
def test_a_record_merged_onward_is_parted_from_the_last_one_first(
    two: tuple[Application, Application], screener: Person
) -> None:
    third = ask(screener, "Nell Carrow")
    first = merge_households(by=screener, kept=two[0].household, other=two[1].household, reason="Same plate.")
    kept = Household.objects.get(pk=two[0].household.pk)
    onward = merge_households(by=screener, kept=third.household, other=kept, reason="Told us so.")
    with pytest.raises(NotReady, match="Take the later merging back first"):
        unmerge_households(by=screener, merging=first, reason="Two people after all.")
    unmerge_households(by=screener, merging=onward, reason="Not her.")
    unmerge_households(by=screener, merging=first, reason="Two people after all.")
    assert not Household.objects.exclude(merged_into=None).exists()


@DB
def test_two_households_said_to_be_different_are_not_shown_again(
    two: tuple[Application, Application], screener: Person
) -> None:
    say_different(by=screener, first=two[0].household, second=two[1].household, reason="He bought the car.")
    assert why(two[0]) == why(two[1]) == {}


@DB
@pytest.mark.parametrize("table", ["jobs_merging", "jobs_unmerging"])
def test_the_database_keeps_what_was_merged_and_parted(
    two: tuple[Application, Application], screener: Person, table: str
) -> None:
    merging = merge_households(
        by=screener, kept=two[0].household, other=two[1].household, reason="Same plate."
    )
    unmerge_households(by=screener, merging=merging, reason="Two people after all.")
    with pytest.raises(DatabaseError, match="what is written stays"), transaction.atomic():
        connection.cursor().execute(f"DELETE FROM {table}")


@DB
def test_the_search_asks_as_little_among_many_as_among_two(
    two: tuple[Application, Application], screener: Person
) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert suspects(two[1].household)
        return len(seen)

    few = asked()
    for number in range(25):
        ask(screener, f"Perpetua Vane{number}", birth_date=BORN, phone="212 555 0142")
    assert asked() == few
