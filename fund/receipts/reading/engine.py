"""Reads the text on a photo, on this machine: packaged models, no network. Loaded once, and only when first asked."""

import logging
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any

from PIL import Image

from fund.receipts.reading.cap import Deadline
from fund.receipts.reading.pages import LONG_SIDE
from fund.receipts.reading.rules import Box

_ONE_AT_A_TIME, _LOADING = Lock(), Lock()
log = logging.getLogger(__name__)


@cache
def _engine() -> Any:
    from rapidocr import RapidOCR  # takes seconds and much memory; never at the start of the server

    quiet = {
        "Global.log_level": "critical",
        "EngineConfig.onnxruntime.intra_op_num_threads": 1,
        "EngineConfig.onnxruntime.inter_op_num_threads": 1,
    }
    return RapidOCR(params=quiet)


def load() -> None:
    """Get the models into memory, if they are not there yet. They come from the disk and take seconds."""
    with _LOADING:
        _engine()


def boxes_on(path: Path, deadline: Deadline | None = None) -> list[Box]:
    """The pieces of text on a picture file; empty when there is none. Refuses what is not read in time."""
    with Image.open(path) as opened:
        return boxes_of(opened, deadline)


def boxes_of(picture: Image.Image, deadline: Deadline | None = None) -> list[Box]:
    import numpy

    picture = picture.convert("RGB")
    picture.thumbnail((LONG_SIDE, LONG_SIDE), Image.Resampling.LANCZOS)
    pixels = numpy.ascontiguousarray(numpy.asarray(picture)[:, :, ::-1])  # the engine takes blue first
    found = deadline.run(lambda: _recognize(pixels, deadline)) if deadline else _recognize(pixels, None)
    if found.boxes is None or found.txts is None:
        return []
    return [_box(*piece) for piece in zip(found.boxes, found.txts, found.scores, strict=True)]


def _recognize(pixels: Any, deadline: Deadline | None) -> Any:
    """One run at a time keeps the memory of a small server bounded. A picture of this size takes seconds, so it ends."""
    if not _ONE_AT_A_TIME.acquire(timeout=deadline.left if deadline else -1):
        assert deadline is not None
        raise deadline.over()
    try:
        return _engine()(pixels)
    finally:
        _ONE_AT_A_TIME.release()


def _box(corners: Sequence[Sequence[float]], text: str, score: float) -> Box:
    return Box(str(text), tuple((float(x), float(y)) for x, y in corners), float(score))
