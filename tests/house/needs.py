"""What a test needs of the machine, and what happens when the machine lacks it.

At a desk a test whose need is not met is skipped with the reason. Where ``CI=true`` a skip is a failure: a
gate that leaves something out must not look green. A test that speaks of one database engine only is left
out of the run on the other engine in both cases; ``.ci/run`` runs the suite once on each.
"""

import os
import shutil
from collections.abc import Generator
from functools import cache
from pathlib import Path

import pytest
from django.conf import settings

CHROMIUM = Path("/usr/bin/chromium")
IN_GATE = os.environ.get("CI", "").lower() == "true"


@cache
def lacking(need: str) -> str:
    """Why a need is not met on this machine, or an empty string."""
    if need == "needs_chromium" and not CHROMIUM.exists():
        return f"{CHROMIUM} is not installed (on Debian: apt install chromium)"
    if need == "needs_soffice" and shutil.which("soffice") is None:
        return "LibreOffice is not installed (on Debian: apt install libreoffice-calc-nogui)"
    return ""


def other_engine(item: pytest.Item) -> bool:
    on_postgres = "postgresql" in settings.DATABASES["default"]["ENGINE"]
    unwanted = "needs_sqlite" if on_postgres else "needs_postgres"
    return item.get_closest_marker(unwanted) is not None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    left_out = [item for item in items if other_engine(item)]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if item not in left_out]


def pytest_runtest_setup(item: pytest.Item) -> None:
    for need in ("needs_chromium", "needs_soffice"):
        if item.get_closest_marker(need) and (reason := lacking(need)):
            pytest.skip(reason)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    report = yield
    if IN_GATE and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"skipped, and the gate allows no skip: {reason_of(report)}"
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(
    collector: pytest.Collector,
) -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    report = yield
    if IN_GATE and report.skipped:
        report.outcome = "failed"
        report.longrepr = f"a file was skipped, and the gate allows no skip: {reason_of(report)}"
    return report


def reason_of(report: pytest.TestReport | pytest.CollectReport) -> str:
    return str(report.longrepr[2] if isinstance(report.longrepr, tuple) else report.longrepr)
