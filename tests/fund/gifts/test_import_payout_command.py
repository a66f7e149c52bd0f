"""manage.py import_payout: thin over the action, with an answer for programs and an exit code."""

import io
import json
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from fund.access.models import Person
from fund.gifts.models import Gift
from fund.gifts.rules_reading import MAX_BYTES
from tests.fund.gifts.files import patch_file, pledge, transfer

GOOD = patch_file(pledge("ch1", "03/02/2026", "25.00", "2.00", "1.03"), transfer("T1", "03/06/2026", "21.97"))
OFF = patch_file(pledge("ch1", "03/02/2026", "25.00", "2.00", "1.03"), transfer("T1", "03/06/2026", "21.98"))


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "march.csv"
    path.write_bytes(GOOD)
    return path


def run(path: Path, **options: Any) -> str:
    out = io.StringIO()
    call_command("import_payout", str(path), **{"layout": "patch-circle", "stdout": out, **options})
    return out.getvalue()


def test_it_posts_once_and_says_so_twice(treasurer: Person, file: Path) -> None:
    assert run(file).splitlines() == [
        "Payout T1 of 2026-03-06: gifts 25.00 - fees 3.03 - returned 0.00 = 21.97 to the bank.",
        "2 posted, 0 already booked.",
    ]
    assert run(file) == "0 posted, 2 already booked.\n"
    assert Gift.objects.count() == 1


def test_it_answers_programs_in_minor_units(treasurer: Person, file: Path) -> None:
    answer = json.loads(run(file, json=True))
    assert (answer["ok"], answer["posted"], answer["already_booked"]) == (True, 2, 0)
    assert answer["payouts"][0] == {
        "ref": "T1",
        "paid_on": "2026-03-06",
        "gross": 2500,
        "platform_fee": 200,
        "processing_fee": 103,
        "dispute_fee": 0,
        "refunds": 0,
        "net": 2197,
    }
    again = json.loads(run(file, json=True))
    assert (again["posted"], again["already_booked"]) == (0, 2)


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_at_a_terminal_it_shows_how_far_it_is_and_for_a_program_nothing(
    treasurer: Person, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = [pledge(f"ch{n}", "03/02/2026", "5.00") for n in range(1100)]
    file.write_bytes(patch_file(*rows, transfer("T1", "03/06/2026", "5500.00")))
    for options, shown in (({"json": True}, False), ({}, True)):
        monkeypatch.setattr("sys.stderr", terminal := Terminal())
        run(file, **options)
        assert ("row/s" in terminal.getvalue()) is shown


def test_a_refused_file_exits_with_1_and_the_reason(treasurer: Person, file: Path) -> None:
    file.write_bytes(OFF)
    with pytest.raises(CommandError, match="but the payout says 21.98: 0.01 too much") as caught:
        run(file)
    assert caught.value.returncode == 1
    out = io.StringIO()
    with pytest.raises(SystemExit) as ended:
        run(file, json=True, stdout=out)
    assert ended.value.code == 1
    assert json.loads(out.getvalue())["ok"] is False


def test_a_file_too_large_is_refused_unread(treasurer: Person, tmp_path: Path) -> None:
    large = tmp_path / "large.csv"
    with large.open("wb") as handle:
        handle.truncate(MAX_BYTES + 1)
    with pytest.raises(CommandError, match="a payout file is read up to 10 MB") as caught:
        run(large)
    assert caught.value.returncode == 1


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ({"layout": "other"}, "There is no layout “other”. Layouts: kettle-card, patch-circle."),
        ({"by": "nobody"}, "There is no crew member “nobody”."),
    ],
)
def test_a_wrong_call_exits_with_2(
    treasurer: Person, file: Path, options: dict[str, str], sentence: str
) -> None:
    with pytest.raises(CommandError) as caught:
        run(file, **options)
    assert (str(caught.value), caught.value.returncode) == (sentence, 2)


def test_it_asks_who_posts_unless_there_is_one_treasurer(owner: Person, file: Path) -> None:
    with pytest.raises(CommandError, match="There is no treasurer. Say who posts with --by USERNAME."):
        run(file)
    with pytest.raises(CommandError, match="Only a treasurer may post a payout"):
        run(file, by="maren")
    with pytest.raises(CommandError, match="There is no file"):
        run(file.parent / "april.csv")
