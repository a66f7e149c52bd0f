"""A skip is told with its reason at a desk and fails in the gate."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parents[2]
SKIPS = """
import pytest

def test_left_out() -> None:
    pytest.skip("no tool here")
"""


def run_one(tmp_path: Path, source: str, gate: str) -> subprocess.CompletedProcess[str]:
    file = tmp_path / "test_one.py"
    file.write_text(source)
    command = [sys.executable, "-m", "pytest", str(file), "-p", "tests.house.needs", "-p", "no:cacheprovider"]
    command += ["-c", str(TOP / "pyproject.toml"), "--rootdir", str(TOP)]
    environment = os.environ | {"CI": gate, "PYTHONPATH": str(TOP)}
    return subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=False)


def test_a_skip_is_told_with_its_reason_at_a_desk(tmp_path: Path) -> None:
    ran = run_one(tmp_path, SKIPS, gate="")
    assert ran.returncode == 0, ran.stdout
    assert "no tool here" in ran.stdout


@pytest.mark.parametrize(
    "source",
    [
        SKIPS,
        'import pytest\npytest.skip("no tool here", allow_module_level=True)\n',
        'import pytest\n@pytest.mark.skip(reason="no tool here")\ndef test_left_out() -> None: ...\n',
    ],
)
def test_a_skip_of_any_kind_fails_in_the_gate(tmp_path: Path, source: str) -> None:
    ran = run_one(tmp_path, source, gate="true")
    assert ran.returncode == 1 or "error" in ran.stdout, ran.stdout
    assert ran.returncode != 0
    assert "no tool here" in ran.stdout


def test_an_expected_failure_is_no_skip(tmp_path: Path) -> None:
    source = (
        'import pytest\n@pytest.mark.xfail(reason="known")\ndef test_known() -> None:\n    assert False\n'
    )
    assert run_one(tmp_path, source, gate="true").returncode == 0


def test_a_test_of_another_engine_is_left_out_and_counted(tmp_path: Path) -> None:
    source = (
        "import pytest\n"
        "@pytest.mark.needs_postgres\ndef test_one() -> None: ...\n"
        "@pytest.mark.needs_sqlite\ndef test_other() -> None: ...\n"
    )
    ran = run_one(tmp_path, source, gate="true")
    assert ran.returncode == 0, ran.stdout
    assert "1 passed, 1 deselected" in ran.stdout
