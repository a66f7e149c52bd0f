from datetime import date
from pathlib import Path

import pytest
from django.conf import settings
from django.db import DatabaseError, connection, transaction

from fund.access.models import Person
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotAllowed
from jobs.eligibility.actions_tables import COLUMNS, load_guidelines
from jobs.eligibility.models import GuidelineTable
from jobs.eligibility.queries import guideline_for

pytestmark = pytest.mark.django_db

HEAD = ",".join(COLUMNS)
NEXT = "2027,hawaii,19000,25000,31000,37000,43000,49000,55000,61000,6000,2027-01-20,HHS 2027"


def written(path: Path, *lines: str) -> Path:
    file = path / "tables.csv"
    file.write_text("\n".join([HEAD, *lines]) + "\n", encoding="utf-8")
    return file


def test_loading_the_fixture_again_adds_nothing() -> None:
    assert GuidelineTable.objects.count() == 12
    assert load_guidelines(by=None, csv_file=settings.BASE_DIR / "fixtures" / "guidelines.csv") == 0
    assert GuidelineTable.objects.count() == 12


def test_a_new_table_counts_from_its_day(tmp_path: Path, owner: Person) -> None:
    assert load_guidelines(by=owner, csv_file=written(tmp_path, NEXT)) == 1
    assert guideline_for("hawaii", 1, date(2027, 1, 19)) == Money(1_836_000)
    assert guideline_for("hawaii", 10, date(2027, 1, 20)) == Money(7_300_000)


def test_a_table_in_use_is_never_rewritten(tmp_path: Path, owner: Person) -> None:
    load_guidelines(by=owner, csv_file=written(tmp_path, NEXT))
    with pytest.raises(AlreadyDone, match="never rewritten; give the corrected one a later day"):
        load_guidelines(by=owner, csv_file=written(tmp_path, NEXT.replace("19000", "19001")))


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (NEXT.replace("19000", "19,5x"), "Line 2 of the income tables"),
        (NEXT.replace("2027-01-20", "soon"), "cannot be read"),
        (NEXT.replace("hawaii", "guam"), "the area of the poverty guideline is one of"),
        (NEXT.replace("31000", "13000"), "rise with the size"),
        (NEXT.replace("HHS 2027", ""), "has no source"),
        ("2027,hawaii", "cannot be read"),
    ],
)
def test_a_bad_line_is_named_and_nothing_is_loaded(
    tmp_path: Path, owner: Person, line: str, words: str
) -> None:
    good = NEXT.replace("hawaii", "alaska")
    file = written(tmp_path, good.replace("alaska", "contiguous"), line)
    words = words.replace("Line 2", "Line 3")
    with pytest.raises(BadInput, match=words):
        load_guidelines(by=owner, csv_file=file)
    assert GuidelineTable.objects.count() == 12


def test_a_file_without_a_column_is_refused(tmp_path: Path, owner: Person) -> None:
    file = tmp_path / "short.csv"
    file.write_text("year,area\n2027,hawaii\n", encoding="utf-8")
    with pytest.raises(BadInput, match="lacks the columns: size_1"):
        load_guidelines(by=owner, csv_file=file)


def test_only_the_owner_loads_tables(tmp_path: Path, screener: Person) -> None:
    with pytest.raises(NotAllowed, match="Only an owner"):
        load_guidelines(by=screener, csv_file=written(tmp_path, NEXT))


def test_the_database_keeps_the_tables_as_they_are() -> None:
    with pytest.raises(DatabaseError, match="what is written stays"), transaction.atomic():
        connection.cursor().execute("UPDATE jobs_guidelinetable SET size_1 = 1")
