"""The shape of the house: nothing stray at the top, no file too long, no word of one machine in it."""

import re

from tests.house.tree import ALLOWED_AT_TOP, APPS, MADE_BY_TOOLS, TOP, files, short

LONGEST = 300
# Joined here so that this file does not find itself.
HOME_PATHS = re.compile(r"(?<![\w./-])/" + r"(?:work|root|home|Users)/" + r"[\w.]")
WORKPLACE = re.compile(r"\b(?:trade|facts|design|models|brief)" + r"\.md\b")
REGISTRY = re.compile(r"--(?:extra-)?index-url|--find-links|--trusted-host")
TEXT = (".py", ".html", ".txt", ".md", ".css", ".js", ".csv", ".json", ".typ", ".toml", ".lock", ".svg", "")


def test_the_top_level_holds_only_what_the_map_names() -> None:
    stray = {entry.name for entry in TOP.iterdir()} - ALLOWED_AT_TOP - MADE_BY_TOOLS
    assert not stray


def test_no_program_file_is_longer_than_a_reader_can_hold() -> None:
    long = {
        short(file): count
        for file in files(".py", under=APPS)
        if "migrations" not in file.parts and (count := file.read_text().count("\n")) > LONGEST
    }
    assert not long, f"split by verb: {long}"


def test_no_file_speaks_of_one_machine() -> None:
    found = {
        short(file): match.group()
        for file in files(*TEXT)
        for pattern in (HOME_PATHS, WORKPLACE, REGISTRY)
        if (match := pattern.search(file.read_text(errors="replace")))
        and short(file) != "tests/house/test_files.py"
    }
    assert not found


def test_every_locked_library_is_pinned_with_its_digest() -> None:
    lock = (TOP / "requirements.lock").read_text()
    pinned = re.findall(r"^([a-z0-9-]+(?:\[[^\]]+\])?)==\S+(?: ;[^\\\n]+)? \\$", lock, re.MULTILINE)
    assert len(pinned) > 40
    assert all(line.startswith((" ", "#")) or "==" in line for line in lock.splitlines())
