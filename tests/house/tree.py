"""The project's own files, for tests that read them as text."""

from collections.abc import Iterator
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
ALLOWED_AT_TOP = frozenset(
    "README.md DEVELOPERS.md manage.py pyproject.toml requirements.lock Makefile .gitignore .ci "
    "config fund jobs reports templates tests fixtures".split()
)
MADE_BY_TOOLS = frozenset(
    ".git .venv var __pycache__ .mypy_cache .ruff_cache .pytest_cache "
    ".import_linter_cache .hypothesis".split()
)
APPS = ("config", "fund", "jobs", "reports")


def files(*suffixes: str, under: tuple[str, ...] = ()) -> Iterator[Path]:
    """Every file with one of the suffixes (all when none is named) below the given places."""
    for start in under or tuple(sorted(ALLOWED_AT_TOP)):
        place = TOP / start
        for file in sorted(place.rglob("*")) if place.is_dir() else [place]:
            tool_made = MADE_BY_TOOLS.intersection(file.relative_to(TOP).parts)
            if file.is_file() and not tool_made and (not suffixes or file.suffix in suffixes):
                yield file


def short(file: Path) -> str:
    return str(file.relative_to(TOP))
