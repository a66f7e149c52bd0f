"""The program for browser tests: the real one, on the day that a file names (so that a path can cross months)."""

import os
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Any

from config.wsgi import application as program
from fund import clock
from fund.receipts.reading import cap

DAY = Path(os.environ["MENDBOOK_DAY_FILE"])
cap.SECONDS = 100  # a machine busy with other tests reads slowly; that reading ends has tests of its own


def application(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
    with clock.at(date.fromisoformat(DAY.read_text().strip())):
        answer = program(environ, start_response)
        try:
            return [bytes(part) for part in answer]
        finally:
            answer.close()
