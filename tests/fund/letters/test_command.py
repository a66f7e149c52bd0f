import io
import json
from datetime import date
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from pypdf import PdfReader

from fund.access.models import Person
from fund.gifts.actions import add_supporter
from fund.letters.actions_batch import go_on, start_batch
from fund.letters.models import Letter
from tests.fund.letters.conftest import Give

MAY = date(2025, 5, 2)


def run(*words: str) -> str:
    out = io.StringIO()
    call_command("letters", *words, stdout=out)
    return out.getvalue()


def test_it_writes_the_letters_of_a_year_into_one_pdf(treasurer: Person, give: Give, tmp_path: Path) -> None:
    give("20.00", MAY)
    give("30.00", MAY, supporter=add_supporter(by=treasurer, name="Osric Danvers"))
    file = tmp_path / "letters.pdf"
    told = run("--year", "2025", "--out", str(file))
    assert told == f"Letters 1 to 2 written for 2025.\n2 letters of 2025 are in {file}.\n"
    assert len(PdfReader(file).pages) == 2


def test_a_second_run_writes_nothing_and_says_so(treasurer: Person, give: Give) -> None:
    give("20.00", MAY)
    run("--year", "2025")
    answer = json.loads(run("--year", "2025", "--json"))
    assert answer == {"ok": True, "year": 2025, "written": 0, "standing": 1, "file": ""}


def test_it_goes_on_where_it_was_interrupted(treasurer: Person, give: Give) -> None:
    give("20.00", MAY)
    give("30.00", MAY, supporter=add_supporter(by=treasurer, name="Osric Danvers"))
    go_on(by=treasurer, batch=start_batch(by=treasurer, year=2025), at_a_time=1)
    assert "Letters 2 to 2 written" in run("--year", "2025")
    assert Letter.objects.count() == 2


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("--year", "2026"), 1, "2026 is not over yet"),
        (("--year", "2025", "--by", "nobody"), 2, "no crew member"),
        (("--year", "2025", "--out", "/nowhere/at/all.pdf"), 2, "There is no folder"),
    ],
)
def test_wrong_calls_say_what_is_wrong(
    words: tuple[str, ...], code: int, said: str, treasurer: Person
) -> None:
    with pytest.raises(CommandError, match=said) as refused:
        run(*words)
    assert refused.value.returncode == code
