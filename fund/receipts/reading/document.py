"""The print in a PDF: its own text where it has one (an order by mail), else the picture that was scanned into it."""

import json
import logging
import os
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from fund.receipts.reading.cap import Deadline
from fund.receipts.reading.engine import boxes_on
from fund.receipts.reading.rules import Row, rows_of_print
from fund.refusal import BadInput

HOME = Path(__file__).parents[3]
log = logging.getLogger(__name__)


def rows_in(path: Path, deadline: Deadline) -> list[Row]:
    """Rows of print of the first pages, top to bottom; empty when there is neither text nor picture.

    Refuses a file that cannot be opened, and one that is not read in time.
    """
    with TemporaryDirectory() as folder:
        done = _read_apart(path, Path(folder), deadline)
        if done.returncode:  # whatever a broken or hostile file makes the library raise
            log.warning(
                "a PDF of a receipt could not be read: %s", done.stderr[-200:].decode(errors="replace")
            )
            raise BadInput("The PDF could not be read. Type what it says, or take a photo of the paper.")
        found = json.loads(done.stdout)
        rows = [Row(text, score) for text, score in found["rows"]]
        scans = [Path(folder) / name for name in found["pictures"]]
        return rows or [row for scan in scans for row in rows_of_print(boxes_on(scan, deadline))]


def _read_apart(path: Path, folder: Path, deadline: Deadline) -> "subprocess.CompletedProcess[bytes]":
    """Another process reads the pages; it is stopped when its time is up, and is told none of the fund's keys."""
    told = {"PYTHONPATH": os.pathsep.join(sys.path)}  # where the libraries are, and nothing else
    command = [sys.executable, "-m", "fund.receipts.reading.pages", str(path.resolve()), str(folder)]
    try:
        return subprocess.run(
            command, cwd=HOME, env=told, stdin=subprocess.DEVNULL, capture_output=True, timeout=deadline.left
        )
    except subprocess.TimeoutExpired as late:
        raise deadline.over() from late
