"""Opening a workbook the way an accountant's program does: recalculated by LibreOffice, then read as values."""

import subprocess
from pathlib import Path
from typing import Any

from openpyxl import load_workbook


def recalculated(path: Path, tmp_path: Path) -> dict[str, list[list[Any]]]:
    """Values of every sheet after LibreOffice has computed all formulas anew."""
    out = tmp_path / "recalculated"
    profile = (tmp_path / "profile").as_uri()
    subprocess.run(
        ["soffice", f"-env:UserInstallation={profile}", "--headless", "--convert-to", "xlsx", "--outdir", str(out), str(path)],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    book = load_workbook(out / path.name, data_only=True)
    return {sheet.title: [list(row) for row in sheet.iter_rows(values_only=True)] for sheet in book}


def written(path: Path) -> dict[str, list[list[Any]]]:
    """Cells of every sheet as they were written, formulas as text."""
    book = load_workbook(path)
    return {sheet.title: [list(row) for row in sheet.iter_rows(values_only=True)] for sheet in book}


def value_beside(rows: list[list[Any]], label: str) -> Any:
    """The first filled cell to the right of a label."""
    for row in rows:
        for at, cell in enumerate(row):
            if cell == label:
                return next(value for value in row[at + 1 :] if value is not None)
    raise AssertionError(f"no cell says {label!r}")
