"""A household is found again by what it told, by index only, however many households there are."""

import re
from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fund.access.models import Person
from fund.sealed import digest
from jobs.households.actions import change_contact, enter_household, replace_members
from jobs.households.identity import (
    Identity,
    Someone,
    marks,
    tidy_address,
    tidy_phone,
    tidy_plate,
)
from jobs.households.models import Household
from jobs.households.queries_search import alike, alike_to
from jobs.households.rules import MemberFacts
from jobs.vehicles.actions import add_vehicle, change_vehicle

pytestmark = pytest.mark.django_db
BORN = date(1988, 4, 9)


def household(by: Person, name: str = "Ana García López", **told: Any) -> Household:
    people = [MemberFacts(name=name, relation="applicant", adult=True, birth_date=BORN)]
    return enter_household(by=by, name=name, members=people, **told)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("(212) 555-0142", "+1 212 555 0142"),
        ("212.555.0142", "1-212-555-0142"),
        ("555 0142", "555-0142"),
    ],
)
def test_a_phone_is_the_same_however_it_is_written(one: str, other: str) -> None:
    assert tidy_phone(one) == tidy_phone(other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("12 Mill Street, Apt. 4B, Larkwater", "12 mill st #4b"),
        ("12 North Mill Avenue", "12 N Mill Ave., Larkwater 00000"),
        ("9 Café Road Unit 2", "9 cafe rd apt 2"),
        ("9 Pine Road Larkwater", "9 Pine Rd, Larkwater"),
        ("Apt 4, 12 Mill St", "12 Mill St Apt 4"),
        ("Apt 4 12 Mill St Larkwater", "12 Mill Street, Larkwater, Unit 4"),
        ("Marble Fox Lane 12, Larkwater", "12 Marble Fox Ln"),
        ("P.O. Box 12", "PO Box 12, Larkwater"),
        ("Post Office Box 12 Larkwater", "po box 12"),
    ],
)
def test_an_address_is_the_same_however_it_is_written(one: str, other: str) -> None:
    # Short forms of the US Postal Service, Publication 28, appendix C.
    assert tidy_address(one) == tidy_address(other)
    assert tidy_address(one) != tidy_address(one.replace("12", "21").replace("9", "6"))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Apt 4, 12 Mill St", "Unit 4, 900 River Rd"),
        ("12 Mill St Apt 4", "12 Mill St Apt 5"),
        ("12 Mill St N", "12 Mill St S"),
        ("12 Fox Hill Rd", "12 Fox Hill Ct"),
    ],
)
def test_two_doors_stay_apart(one: str, other: str) -> None:
    assert tidy_address(one) != tidy_address(other)


def test_a_unit_alone_is_no_address() -> None:
    assert marks(Identity(addresses=("Unit 4", ""))) == set()


def test_twins_of_an_address_are_told_whatever_the_commas(screener: Person) -> None:
    first = household(screener, address="77 Pine Road Larkwater")
    people = [MemberFacts(name="Ben Ruiz", relation="applicant", adult=True)]
    twin = enter_household(by=screener, name="Ben Ruiz", members=people, address="77 Pine Rd, Larkwater")
    apart = enter_household(by=screener, name="Ben Ruiz", members=people, address="Unit 77, 900 Pine Rd")
    assert [(row.household, row.reasons) for row in alike(first)] == [(twin, ["the same address"])]
    assert alike(apart) == []


def test_a_plate_is_its_letters_and_digits() -> None:
    assert tidy_plate("lrk-204") == tidy_plate("LRK 204") == "LRK204"


@pytest.mark.parametrize(
    ("identity", "why"),
    [
        (Identity(phones=("+1 212 555 0142",)), ["the same phone"]),
        (Identity(emails=("ANA@example.org ",)), ["the same e-mail"]),
        (Identity(addresses=("12 mill st apt 4",)), ["the same address"]),
        (Identity(plates=("lrk 204",)), ["the same license plate"]),
        (Identity(vins=("1m8gdm9a xkp042788",)), ["the same VIN"]),
        (
            Identity(people=(Someone(name="Anna López", birth_date=BORN),)),
            ["someone with the same birth date and surname"],
        ),
        (Identity(people=(Someone(name="Ana García", birth_date=date(1988, 4, 10)),)), None),
        (Identity(people=(Someone(name="Ana García López"),)), None),
    ],
)
def test_why_two_records_look_like_one(screener: Person, identity: Identity, why: list[str] | None) -> None:
    known = household(
        screener, phone="212-555-0142", email="ana@example.org", address="12 Mill Street, Apt 4"
    )
    add_vehicle(
        by=screener, household=known, year=2010, vehicle_class="van", plate="LRK-204", vin="1M8GDM9AXKP042788"
    )
    assert [row.reasons for row in alike_to(identity)] == ([why] if why else [])


def test_what_is_corrected_is_found_by_its_new_value_only(screener: Person) -> None:
    known = household(screener, phone="212-555-0142")
    change_contact(by=screener, household=known, phone="212-555-0199")
    assert alike_to(Identity(phones=("212-555-0142",))) == []
    assert [row.household for row in alike_to(Identity(phones=("2125550199",)))] == [known]
    vehicle = add_vehicle(by=screener, household=known, year=2010, vehicle_class="van", plate="AAA 1")
    change_vehicle(by=screener, vehicle=vehicle, year=2010, vehicle_class="van", plate="BBB 2")
    assert alike_to(Identity(plates=("AAA1",))) == []
    replace_members(
        by=screener,
        household=known,
        members=[MemberFacts(name="Ana Ruiz", relation="applicant", adult=True, birth_date=BORN, number=1)],
    )
    assert alike_to(Identity(people=(Someone(name="X López", birth_date=BORN),))) == []


def test_the_key_table_holds_digests_and_no_value(screener: Person) -> None:
    household(screener, phone="212-555-0142", address="12 Mill Street")
    with connection.cursor() as cursor:
        cursor.execute("SELECT kind, digest FROM jobs_searchkey")
        rows = str(cursor.fetchall()).lower()
    assert not re.search("555|mill|garc|1988", rows)


HOUSEHOLDS = 100_000


def many(count: int) -> None:
    """Copies of the first household with six digests each, written past the actions: only the size matters here."""
    columns = [f'"{field.column}"' for field in Household._meta.concrete_fields if not field.primary_key]
    others = [name for name in columns if name != '"code"']
    numbers = f"WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < {count})"
    with connection.cursor() as cursor:
        first = Household.objects.order_by("pk").values_list("pk", flat=True)[0]
        cursor.execute(
            f"{numbers} INSERT INTO jobs_household (code, {', '.join(others)}) "
            f"SELECT 'M-' || n.i, {', '.join('h.' + name for name in others)} FROM n, jobs_household h WHERE h.id = {first}"
            if connection.vendor == "sqlite"
            else f"INSERT INTO jobs_household (code, {', '.join(others)}) {numbers} "
            f"SELECT 'M-' || n.i, {', '.join('h.' + name for name in others)} FROM n, jobs_household h WHERE h.id = {first}"
        )
        for kind in ("phone", "address", "name", "birth", "plate", "vin"):
            cursor.execute(
                "INSERT INTO jobs_searchkey (household_id, kind, digest) "
                f"SELECT id, '{kind}', '{kind}' || code FROM jobs_household WHERE code LIKE 'M-%'"
            )


def test_the_search_among_100_000_households_reads_indexes_only(screener: Person) -> None:
    known = household(screener, phone="212-555-0142", address="12 Mill Street")
    twin = household(screener, phone="212-555-0142")
    with CaptureQueriesContext(
        connection,
    ) as few:
        assert [row.household for row in alike(known)] == [twin]
    many(HOUSEHOLDS)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    with CaptureQueriesContext(connection) as lots:
        assert [row.household for row in alike(known)] == [twin]
    assert len(lots) == len(few)
    plans = [plan_of(query["sql"]) for query in lots.captured_queries]
    assert any("searchkey" in plan.lower() for plan in plans)
    for plan in plans:
        assert not walks(plan, "jobs_searchkey"), plan
        assert not walks(plan, "jobs_household"), plan


def plan_of(sql: str) -> str:
    explain = "EXPLAIN QUERY PLAN" if connection.vendor == "sqlite" else "EXPLAIN"
    with connection.cursor() as cursor:
        cursor.execute(f"{explain} {sql}")
        return "\n".join(" ".join(str(part) for part in row) for row in cursor.fetchall())


def walks(plan: str, table: str) -> bool:
    """Whether a plan reads a whole table: SCAN on SQLite, Seq Scan on PostgreSQL."""
    return bool(re.search(rf'SCAN "?{table}"?(?! USING)|SCAN "?{table}"? USING|Seq Scan on {table}\b', plan))


def test_the_kinds_of_marks_stay_apart() -> None:
    found = marks(Identity(plates=("12125550142",), phones=("12125550142",)))
    assert len({digest(kind, value) for kind, value in found}) == 2
