"""PDF from the Typst templates in ``templates/typst``.

A template reads its figures with ``#let data = json("data.json")`` and shows them as strings, so what
a person typed is text and never markup. Every PDF is PDF/UA-1 (tagged, titled, with a language) and
carries its own fonts: those inside the typst package, and DejaVu Sans from matplotlib for signs that
the serif does not have.
"""

import json
import re
from collections.abc import Mapping
from datetime import datetime
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Literal

import typst
from django.conf import settings
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

from fund import clock

STANDARD: Literal["ua-1"] = "ua-1"

# Control characters have no glyph, and PDF/UA refuses a text it cannot show. Line breaks and tabs stay.
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


def render_pdf(
    template_name: str,
    data: Mapping[str, Any],
    *,
    files: Mapping[str, bytes] | None = None,
    at: datetime | None = None,
) -> bytes:
    """The PDF of ``templates/typst/<template_name>.typ`` filled with ``data`` (JSON values only).

    ``files`` are further files the template may read by name, such as the SVG of a chart. ``at`` is the
    time written into the PDF; the same template, data, files and time give the same bytes.
    A sign that no font here can show is printed as its code point, for example ``[U+6F22]``.
    """
    clean = _replace_text(dict(data), lambda text: _CONTROL.sub("", text))
    moment = at or clock.now()
    try:
        return _compile(template_name, clean, files or {}, moment)
    except typst.TypstError as error:
        if "could not be displayed" not in str(error):
            raise
        return _compile(template_name, _replace_text(clean, _spell_out), files or {}, moment)


def _compile(template_name: str, data: Any, files: Mapping[str, bytes], at: datetime) -> bytes:
    folder = Path(settings.BASE_DIR) / "templates" / "typst"
    sources: dict[str, bytes] = {path.name: path.read_bytes() for path in folder.glob("*.typ")}
    sources.update(files)
    sources["main.typ"] = sources[f"{template_name}.typ"]
    sources["data.json"] = json.dumps(data, ensure_ascii=False).encode()
    compiler = typst.Compiler(input=sources, font_paths=_fonts())  # type: ignore[arg-type,type-var,unused-ignore]
    pdf = compiler.compile(format="pdf", pdf_standards=[STANDARD], timestamp=int(at.timestamp()))
    assert isinstance(pdf, bytes)
    return pdf


@cache
def _fonts() -> typst.Fonts:
    # The machine's own fonts stay out: the same sheet must look the same on every machine.
    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(_fallback_font().parent)]
    )


def _fallback_font() -> Path:
    spec = find_spec("matplotlib")
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf" / "DejaVuSans.ttf"


@cache
def _showable() -> frozenset[int]:
    return frozenset(TTFont(_fallback_font()).getBestCmap())


def _spell_out(text: str) -> str:
    """``text`` with each sign outside the fallback font written as its code point."""
    known = _showable()
    return "".join(sign if ord(sign) in known or sign in "\n\t" else f"[U+{ord(sign):04X}]" for sign in text)


def _replace_text(value: Any, change: Any) -> Any:
    """A copy of a JSON value with ``change`` applied to every string in it (keys stay)."""
    if isinstance(value, str):
        return change(value)
    if isinstance(value, Mapping):
        return {key: _replace_text(item, change) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_replace_text(item, change) for item in value]
    return value
