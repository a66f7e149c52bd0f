"""Reads every drawn receipt on this machine and says what share of the figures was read right.

python -m tests.bench.reading
"""

import sys
from datetime import date
from difflib import SequenceMatcher
from time import perf_counter
from typing import Any

from fund.receipts.reading.engine import boxes_of
from fund.receipts.reading.rules import rows_of_print
from fund.receipts.reading.rules_fields import Reading, read
from tests.fund.receipts.draw.paper import draw, papers

TODAY = date(2026, 3, 15)


def reading_of(paper: dict[str, Any]) -> Reading:
    return read(rows_of_print(boxes_of(draw(paper))), TODAY)


def right(paper: dict[str, Any], got: Reading) -> dict[str, tuple[int, int]]:
    """Of each kind of figure: how many were read right, and how many there are."""
    wanted = [(text, amount) for text, amount in paper["lines"]]
    read_lines = [(line.text, line.amount.minor) for line in got.lines]
    lines = sum(1 for line in wanted if any(_same(line, other) for other in read_lines))
    return {
        "store": (int(_alike(paper["store"], got.store)), 1),
        "number": (int(paper["number"] == got.number), 1),
        "date": (int(got.on is not None and paper["on"] == got.on.isoformat()), 1),
        "lines": (lines, len(wanted)),
        "tax": (int((got.tax.minor if got.tax else 0) == paper["tax"]), 1),
        "total": (int(got.total is not None and paper["total"] == got.total.minor), 1),
    }


def _alike(wanted: str, got: str) -> bool:
    return SequenceMatcher(None, wanted.lower(), got.lower()).ratio() > 0.8


def _same(wanted: tuple[str, int], got: tuple[str, int]) -> bool:
    return wanted[1] == got[1] and _alike(wanted[0], got[0])


def wrongly_trusted(paper: dict[str, Any], got: Reading) -> bool:
    return got.trusted and ("says" in paper or got.total is None or got.total.minor != paper["total"])


def main() -> int:
    sums: dict[str, list[int]] = {}
    trusted = wrong = 0
    seconds = 0.0
    for paper in papers():
        began = perf_counter()
        got = reading_of(paper)
        seconds += perf_counter() - began
        figures = right(paper, got)
        missed = [name for name, (good, all_) in figures.items() if good < all_]
        trusted += got.trusted
        wrong += wrongly_trusted(paper, got)
        print(
            paper["name"],
            paper["layout"],
            paper["font"],
            paper["harm"],
            "trusted" if got.trusted else "",
            *missed,
        )
        if "-v" in sys.argv and (missed or not got.trusted):
            print("   ", got)
        for name, (good, all_) in figures.items():
            sums.setdefault(name, [0, 0])
            sums[name][0] += good
            sums[name][1] += all_
    for name, (good, all_) in sums.items():
        print(f"{name:8} {good:4} of {all_:4} = {100 * good / all_:5.1f} %")
    print(
        f"trusted  {trusted:4} of {len(papers()):4}; wrongly: {wrong}; {seconds / len(papers()):.1f} s each"
    )
    return wrong


if __name__ == "__main__":
    sys.exit(main())
