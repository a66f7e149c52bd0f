"""Who opens the database without the keys learns nothing of who was helped."""

import shutil
import subprocess
from pathlib import Path

import pytest
from django.db import connection

from fund.access.models import Person
from jobs.households.models import Household, Income
from tests.jobs.households.stored import BORN, MARKS, everything_stored, marked, marks_in

pytestmark = pytest.mark.django_db


def test_no_table_holds_a_mark(screener: Person, volunteer: Person) -> None:
    marked(screener, volunteer)
    stored = everything_stored()
    assert "Alder" in stored  # the search does look into the rows
    assert marks_in(stored) == []
    assert BORN.isoformat() not in stored
    assert "173391" not in stored
    assert "'food benefits'" not in stored


@pytest.mark.needs_sqlite
def test_the_file_shows_none_of_them_to_the_sqlite_shell(
    screener: Person, volunteer: Person, tmp_path: Path
) -> None:
    marked(screener, volunteer)
    content: bytes = connection.connection.serialize()
    assert b"Alder" in content
    assert marks_in(content.decode("latin-1")) == []
    file = tmp_path / "books.sqlite3"
    file.write_bytes(content)
    shell = shutil.which("sqlite3")
    if shell:
        dump = subprocess.run([shell, str(file), ".dump"], capture_output=True, text=True, check=True).stdout
    else:
        import sqlite3

        dump = "\n".join(sqlite3.connect(file).iterdump())
    assert "CREATE TABLE" in dump
    assert "Alder" in dump
    assert marks_in(dump) == []


def test_with_the_keys_everything_reads_as_it_was_told(screener: Person, volunteer: Person) -> None:
    household = Household.objects.get(pk=marked(screener, volunteer).household_id)
    assert household.phone == MARKS["phone"]
    assert household.members.get(number=1).birth_date == BORN
    assert [str(row.amount) for row in household.incomes.all()][0] == "1,733.91"
    assert [str(stub) for stub in Income.objects.last().facts.stubs] == ["666.17", "666.19"]  # type: ignore[union-attr]
    assert household.vehicles.get().vin == MARKS["VIN"]
