"""DEVELOPERS.md names every command, role, rule, setting and target that exists, and none that does not."""

import ast
import re

import pytest
from django.core.management import get_commands

from fund.access.powers import POWERS, ROLES
from fund.rulebook.rules import RULES
from tests.house.tree import ALLOWED_AT_TOP, APPS, TOP, files

GUIDE = TOP / "DEVELOPERS.md"
READERS = ("flag", "words", "get", "getenv", "sealing_keys")


def environment() -> set[str]:
    """Names that the settings read: ``env.flag("NAME", …)`` or ``os.environ.get("NAME")``."""
    names = set()
    for file in files(".py", under=("config",)):
        for node in ast.walk(ast.parse(file.read_text())):
            match node:
                case ast.Call(func=ast.Attribute(attr=reader), args=[ast.Constant(value=str(name)), *_]):
                    if reader in READERS and name.isupper():
                        names.add(name)
    return names


def commands() -> set[str]:
    return {name for name, app in get_commands().items() if app in APPS}


def targets() -> set[str]:
    return set(re.findall(r"^([a-z-]+):.*## ", (TOP / "Makefile").read_text(), re.MULTILINE))


def coded(text: str) -> set[str]:
    """Every word that stands between backticks."""
    return {word for span in re.findall(r"`([^`\n]+)`", text) for word in re.split(r"[\s=,]+", span)}


@pytest.mark.parametrize(
    ("kind", "names"),
    [
        ("command", commands()),
        ("role", set(ROLES)),
        ("rule of the rulebook", set(RULES)),
        ("variable of the environment", environment()),
        ("target of make", targets()),
        ("power", set(POWERS)),
    ],
)
def test_the_guide_names_every(kind: str, names: set[str]) -> None:
    assert names
    missing = names - coded(GUIDE.read_text())
    assert not missing, f"DEVELOPERS.md does not name this {kind}: {sorted(missing)}"


def rows_of(heading: str) -> list[list[str]]:
    """The cells of the table below a heading of the guide, without its two header lines."""
    section = GUIDE.read_text().split(f"\n## {heading}\n")[1].split("\n## ")[0]
    lines = [line for line in section.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def test_the_guide_tells_who_has_each_power() -> None:
    told = {name.split("`")[1]: set(roles.split(", ")) for name, roles in rows_of("Roles and powers")}
    assert told == {name: set(power.roles) for name, power in POWERS.items()}


def test_the_guide_tells_what_each_rule_starts_as() -> None:
    told = {name.strip("`"): start for name, start, _ in rows_of("Rules of the fund")}
    assert told == {name: rule.start for name, rule in RULES.items()}


def test_the_environment_is_read_in_one_place() -> None:
    assert {"DATABASE_URL", "MEDIA_ROOT", "SECRET_KEY", "ALLOWED_HOSTS", "DEBUG"} <= environment()
    elsewhere = [
        file for file in files(".py", under=("fund", "jobs", "reports")) if "environ" in file.read_text()
    ]
    assert not elsewhere


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_every_place_a_document_points_at_is_there(name: str) -> None:
    text = (TOP / name).read_text()
    links = [link for link in re.findall(r"\]\(([^)#]+)[^)]*\)", text) if "://" not in link]
    named = [place for place in coded(text) if place.split("/")[0] in ALLOWED_AT_TOP and "<" not in place]
    assert [place for place in links + named if not (TOP / place.rstrip("/")).exists()] == []


def test_every_command_and_target_the_guide_tells_to_type_exists() -> None:
    text = GUIDE.read_text() + (TOP / "README.md").read_text()
    typed = set(re.findall(r"manage\.py ([a-z_]+)", text))
    assert typed <= set(get_commands())
    assert set(re.findall(r"`make ([a-z-]+)", text)) <= targets()
