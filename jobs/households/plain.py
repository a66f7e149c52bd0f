"""Text without what two people write differently: accents, capitals, marks. Pure."""

import re
import unicodedata

# Letters with a stroke or joined ones, which Unicode does not take apart into a letter and a mark.
_STROKES = str.maketrans(
    {
        "ł": "l", "Ł": "L", "ø": "o", "Ø": "O", "đ": "d", "Đ": "D", "ħ": "h", "Ħ": "H", "ı": "i",
        "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "þ": "th", "Þ": "Th", "ð": "d", "Ð": "D",
    }
)  # fmt: skip


def bare(text: str) -> str:
    """The text without accents; capitals and marks stay."""
    if text.isascii():
        return text
    parts = unicodedata.normalize("NFKD", text)
    return "".join(sign for sign in parts if not unicodedata.combining(sign)).translate(_STROKES)


def plain(text: str) -> str:
    """Small letters and digits, without accents; everything else is a blank."""
    return " ".join(re.findall(r"[^\W_]+", bare(text).casefold()))
