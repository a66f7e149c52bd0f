"""A command that was wrongly called ends with 2, whatever the command; one that was refused ends with 1."""

from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from fund.access.models import Person

pytestmark = pytest.mark.django_db
NOBODY = ["--by", "nobody"]
WRONG = [
    ["close_month", "2026-02"],
    ["close_month", "2026-02", *NOBODY],
    ["close_month", "2026-13"],
    ["publish_month", "2026-02"],
    ["publish_month", "2026-02", *NOBODY],
    ["publish_month", "soon"],
    ["promises", "--let-go"],
    ["promises", "--let-go", *NOBODY],
    ["position", "--month", "2026-13"],
    ["import_payout", "FILE", "--layout", "patch-circle"],
    ["import_payout", "FILE", "--layout", "patch-circle", *NOBODY],
    ["import_payout", "FILE", "--layout", "none such"],
    ["import_payout", "MISSING", "--layout", "patch-circle"],
    ["import_statement", "FILE"],
    ["import_statement", "FILE", *NOBODY],
    ["import_statement", "FILE", "--layout", "none such"],
    ["import_statement", "MISSING"],
    ["letters", "--year", "2025"],
    ["letters", "--year", "2025", *NOBODY],
    ["letters", "--year", "2025", "--out", "MISSING/all.pdf"],
    ["workbook", "--from", "2026-02", "--to", "2026-02", "BOOK"],
    ["workbook", "--from", "2026-02", "--to", "2026-02", *NOBODY, "BOOK"],
    ["workbook", "--from", "2026-13", "--to", "2026-13", "--by", "odell", "BOOK"],
    ["restore", "MISSING"],
]


def _told(words: list[str], place: Path) -> list[str]:
    file = place / "file.csv"
    file.write_text("id,day\n", encoding="utf-8")
    where = {"FILE": file, "MISSING": place / "not there" / "file", "BOOK": place / "book.xlsx"}
    where["MISSING/all.pdf"] = place / "not there" / "all.pdf"
    return [str(where.get(word, word)) for word in words]


@pytest.fixture
def two_treasurers(treasurer: Person, volunteer: Person) -> None:
    """No owner, and two who may act where a treasurer acts: so who acts must be said."""
    volunteer.groups.set(treasurer.groups.all())


@pytest.mark.parametrize("words", WRONG, ids=" ".join)
@pytest.mark.usefixtures("two_treasurers")
def test_a_command_that_was_wrongly_called_ends_with_two(words: list[str], tmp_path: Path) -> None:
    with pytest.raises(CommandError) as ended:
        call_command(*_told(words, tmp_path))
    assert ended.value.returncode == 2, str(ended.value)


def test_a_command_that_was_refused_ends_with_one(treasurer: Person) -> None:
    with pytest.raises(CommandError) as ended:
        call_command("close_month", "2026-03", "--by", "odell")  # it is not over
    assert ended.value.returncode == 1


def test_every_command_that_takes_words_is_looked_at() -> None:
    """Those left out take no words, or ask for what only a person at a terminal can give."""
    places = ["fund", "jobs", "reports"]
    top = Path(__file__).resolve().parents[2]
    known = {
        file.stem for place in places for file in (top / place / "management" / "commands").glob("[a-z]*.py")
    }
    apart = {
        "prepare",
        "open_book",
        "demo",
        "check_books",
        "forget_households",
        "reseal_households",
        "backup",
    }
    assert known - apart == {words[0] for words in WRONG}
