import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fund.access.models import Person
from tests.fund.ledger.books import write_book


def run(*args: str) -> str:
    out = StringIO()
    call_command("position", *args, stdout=out)
    return out.getvalue()


def test_the_answer_for_a_program_is_in_minor_units_and_adds_up(treasurer: Person) -> None:
    write_book(treasurer)
    answer = json.loads(run("--json"))
    assert {
        "month": "2026-02",
        "bank": 81190,
        "restricted": 30000,
        "reserve": 100000,
        "committed": 0,
    }.items() <= answer.items()
    assert answer["free_to_commit"] == 81190 - 30000 - 100000
    assert answer["bank"] - sum(row["amount"] for row in answer["subtractions"]) == answer["free_to_commit"]


def test_the_position_at_the_end_of_a_month_leaves_later_days_out(treasurer: Person) -> None:
    write_book(treasurer)
    assert json.loads(run("--json", "--month", "2026-01"))["bank"] == 82500


def test_the_answer_for_a_person_ends_in_what_is_free(treasurer: Person) -> None:
    write_book(treasurer)
    last = run().splitlines()[-1]
    assert last.startswith("Free to commit")
    assert last.endswith("-488.10")


@pytest.mark.django_db
def test_what_is_no_month_is_a_wrong_use() -> None:
    with pytest.raises(CommandError, match="is not a month") as refused:
        run("--month", "March")
    assert refused.value.returncode == 2
