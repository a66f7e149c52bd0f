"""The page and the command that give the workbook out."""

import io
from collections.abc import Callable
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from openpyxl import load_workbook

from fund.access.models import Person
from fund.trail.models import TrailLine
from tests.reports.workbook.month import write_month

ClientFor = Callable[[Person], Client]


def test_the_page_gives_the_file(treasurer: Person, accountant: Person, client_for: ClientFor) -> None:
    write_month(treasurer)
    client = client_for(accountant)
    assert client.get("/crew/books/workbook/").status_code == 200
    answer = client.post("/crew/books/workbook/", {"start": "2026-03", "end": "2026-03"})
    assert answer.headers["Content-Disposition"] == 'attachment; filename="books-2026-03-2026-03.xlsx"'
    book = load_workbook(io.BytesIO(b"".join(answer.streaming_content)))  # type: ignore[attr-defined]
    assert "General ledger" in book.sheetnames
    assert TrailLine.objects.get(action="books.export").by == accountant


def test_looking_at_the_page_takes_nothing_out(accountant: Person, client_for: ClientFor) -> None:
    client_for(accountant).get("/crew/books/workbook/?start=2026-03&end=2026-03")
    assert not TrailLine.objects.filter(action="books.export").exists()


def test_a_wrong_month_comes_back_on_the_form(accountant: Person, client_for: ClientFor) -> None:
    client = client_for(accountant)
    answer = client.post("/crew/books/workbook/", {"start": "March", "end": "2026-03"})
    assert answer.status_code == 422
    assert 'value="March"' in answer.content.decode()
    answer = client.post("/crew/books/workbook/", {"start": "2026-03", "end": "2026-02"})
    assert "2026-02 comes before 2026-03" in answer.content.decode()


def test_a_volunteer_is_told_who_may(volunteer: Person, client_for: ClientFor) -> None:
    answer = client_for(volunteer).post("/crew/books/workbook/", {"start": "2026-03", "end": "2026-03"})
    assert answer.status_code == 403
    assert "accountant" in answer.content.decode()


def test_the_command_writes_the_file(
    treasurer: Person, owner: Person, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write_month(treasurer)
    path = tmp_path / "books.xlsx"
    call_command("workbook", "--from", "2026-02", "--to", "2026-03", "--by", "odell", str(path))
    assert capsys.readouterr().out == f"{path}: 2026-02 to 2026-03, 46 ledger lines.\n"
    assert load_workbook(path)["General ledger"]["K2"].value == "Opening"
    assert TrailLine.objects.get(action="books.export").by == treasurer


@pytest.mark.parametrize(
    ("arguments", "words", "code"),
    [
        (["--from", "2026-03", "--to", "2026-02"], "comes before", 2),
        (["--from", "3", "--to", "2026-02"], "is not a month", 2),
        (["--from", "2026-03", "--to", "2026-03", "--by", "nobody"], "Nobody signs in as", 2),
        (
            ["--from", "2026-03", "--to", "2026-03", "--by", "tavi"],
            "Only an owner, treasurer or accountant",
            1,
        ),
    ],
)
def test_the_command_says_what_is_wrong(
    owner: Person, volunteer: Person, tmp_path: Path, arguments: list[str], words: str, code: int
) -> None:
    path = tmp_path / "books.xlsx"
    with pytest.raises(CommandError, match=words) as error:
        call_command("workbook", *arguments, str(path))
    assert error.value.returncode == code
    assert not path.exists()


def test_a_place_that_cannot_be_written_is_told(treasurer: Person, owner: Person, tmp_path: Path) -> None:
    path = tmp_path / "nowhere" / "books.xlsx"
    with pytest.raises(CommandError, match="cannot be written") as error:
        call_command("workbook", "--from", "2026-03", "--to", "2026-03", str(path))
    assert error.value.returncode == 1
