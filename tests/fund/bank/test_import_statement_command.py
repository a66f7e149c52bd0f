"""manage.py import_statement: thin over the action, with an answer for programs and an exit code."""

import io
import json
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from fund.access.models import Person
from fund.bank.actions_layouts import save_layout
from fund.bank.models import StatementLine
from fund.bank.rules_csv import CsvSpec
from tests.fund.bank.files import ofx, trn

pytestmark = pytest.mark.django_db
ROWS = [trn("a1", "20260302", "184.00"), trn("a2", "20260305", "-9.00")]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "march.ofx"
    path.write_bytes(ofx(ROWS, "175.00", "20260314"))
    return path


def run(path: Path, **options: Any) -> str:
    out = io.StringIO()
    call_command("import_statement", str(path), **{"stdout": out, **options})
    return out.getvalue()


def test_it_stores_once_and_says_so_twice(treasurer: Person, file: Path) -> None:
    assert run(file) == "2 new lines, 0 were here before.\n"
    assert run(file) == "0 new lines, 2 were here before.\n"
    assert StatementLine.objects.exclude(kind="OPENING").count() == 2


def test_it_answers_programs_in_minor_units(treasurer: Person, file: Path) -> None:
    assert json.loads(run(file, json=True)) == {
        "ok": True, "new": 2, "known": 0, "corrected": 0, "opening": 0, "closing": 17500,
    }  # fmt: skip


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_at_a_terminal_it_shows_how_far_it_is_and_for_a_program_nothing(
    treasurer: Person, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = []
    for options, number in (({"json": True}, 0), ({}, 1)):
        rows = [trn(f"n{number}-{at}", f"202603{number + 3:02}", "0.01") for at in range(1000)]
        file.write_bytes(ofx(rows, f"{(number + 1) * 10}.00", f"202603{number + 4:02}"))
        monkeypatch.setattr("sys.stderr", terminal := Terminal())
        run(file, **options)
        shown.append("line/s" in terminal.getvalue())
    assert shown == [False, True]


def test_a_refused_file_exits_with_1_and_the_reason(treasurer: Person, file: Path, capsys: Any) -> None:
    file.write_bytes(file.read_bytes()[:-60])
    with pytest.raises(CommandError, match="cut off") as refused:
        run(file)
    assert refused.value.returncode == 1
    out = io.StringIO()
    with pytest.raises(SystemExit) as left:
        call_command("import_statement", str(file), json=True, stdout=out)
    assert left.value.code == 1
    assert json.loads(out.getvalue())["ok"] is False


def test_a_csv_takes_its_layout_and_the_balance_typed(treasurer: Person, tmp_path: Path) -> None:
    save_layout(by=treasurer, spec=CsvSpec("bare", {"date": "Day", "amount": "Moved"}))
    path = tmp_path / "march.csv"
    path.write_text("Day,Moved\n2026-03-02,184.00\n", encoding="utf-8")
    answer = json.loads(run(path, layout="bare", opening="100.00", json=True))
    assert (answer["new"], answer["opening"]) == (1, 10_000)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"layout": "none"}, "There is no layout"),
        ({"by": "nobody"}, "no crew member"),
        ({"opening": "x"}, "--opening: .* is not an amount"),
    ],
)
def test_a_wrong_call_exits_with_2(
    treasurer: Person, file: Path, options: dict[str, str], words: str
) -> None:
    with pytest.raises(CommandError, match=words) as refused:
        run(file, **options)
    assert refused.value.returncode == 2


def test_a_missing_file_exits_with_2(treasurer: Person, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="There is no file") as refused:
        run(tmp_path / "none.ofx")
    assert refused.value.returncode == 2
