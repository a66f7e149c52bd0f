"""Do we already have this? What lies on the shelf beside the lines of an estimate."""

from collections.abc import Sequence

from fund.receipts.models import ShelfLot
from fund.receipts.queries import on_shelf_like, words_looked_for
from jobs.estimates.models import EstimateLine
from jobs.estimates.rules import Kind

LINES = 20  # looked up at once
SHOWN = 3  # lots beside one line


def lots_by_line(texts: Sequence[str]) -> list[list[ShelfLot]]:
    """For each text the lots with something left that are named like it, by the search of the receipt form. One query."""
    asked = [text.strip() if place < LINES else "" for place, text in enumerate(texts)]
    found = on_shelf_like(sorted({text for text in asked if text}), most=LINES * SHOWN)
    return [[lot for lot in found if _named_like(lot, text)][:SHOWN] for text in asked]


def _named_like(lot: ShelfLot, text: str) -> bool:
    words = words_looked_for(text)
    return bool(words) and all(word.lower() in lot.item.lower() for word in words)


def lots_for(lines: Sequence[EstimateLine]) -> list[ShelfLot]:
    """What the shelf holds of a stored estimate, each lot once. One query, or none."""
    texts = [line.text for line in lines if line.kind in (Kind.PART, Kind.FLUID)]
    return list({lot.pk: lot for lots in lots_by_line(texts) for lot in lots}.values())
