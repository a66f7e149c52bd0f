"""What may never reach a public page, and the search for it. No database here.

Two searches. Free text that a person wrote (stories, aliases, names of purposes) is searched for anything that
belongs to a household and for things that look private by their shape. Every finished output (page, record,
lines, PDF text, chart) is searched for the whole values once more, so that a leak through a template shows too.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from fund.refusal import NotReady

# Counts from 1 to 4 point at households in a small town; zero may be shown. The published policies differ: the
# CMS cell size policy (ResDAC, 2024-01-26) hides 1 to 10, NHS England hid 1 to 5 before 2018. A count that
# could be worked out from other published figures is as good as shown, so no totals stand beside these.
SMALLEST_SHOWN = 5

_MONTHS = (
    "jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|"
    "oct(?:ober)?|nov(?:ember)?|dec(?:ember)?"
)
_WAYS = "st|street|ave|avenue|rd|road|ln|lane|dr|drive|ct|court|way|blvd"
_SHAPES = (
    ("an e-mail address", r"[\w.+-]+@[\w-]+\.\w+"),
    ("a VIN", r"\b(?=[a-z0-9]*\d)(?=[a-z0-9]*[a-z])[a-hj-npr-z0-9]{17}\b"),
    ("a telephone number", r"(?<!\d)(?:\+?1[-. ]?)?\(?\d{3}\)?[-. ]\d{3}[-. ]\d{4}(?!\d)"),
    ("a date", r"\b\d{4}-\d{2}-\d{2}\b|\b\d{1,2}/\d{1,2}/(?:\d{4}|\d{2})\b"),
    (
        "a date",
        rf"\b(?:{_MONTHS})\.? \d{{1,2}}(?:st|nd|rd|th)?\b|\b\d{{1,2}}(?:st|nd|rd|th)? (?:{_MONTHS})\b",
    ),
    ("a street address", rf"\b\d{{1,5}} (?:[nsew]\.? )?[a-z]+ (?:{_WAYS})\b"),
)
_SHAPES_READ = [(kind, re.compile(shape, re.I)) for kind, shape in _SHAPES]


@dataclass(frozen=True, slots=True)
class Private:
    """Values of one household that may not be published. ``alias`` is what stands for it."""

    alias: str
    names: tuple[str, ...] = ()
    phones: tuple[str, ...] = ()
    streets: tuple[str, ...] = ()
    plates: tuple[str, ...] = ()
    vins: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Leak:
    """A private value found. The sentence names the place and the kind, never the value itself."""

    where: str
    kind: str
    alias: str

    @property
    def sentence(self) -> str:
        whose = f" of household {self.alias}" if self.alias else ""
        return f"{self.where} holds {self.kind}{whose}."


def shown_span(count: int) -> tuple[int, int]:
    """From what to what a count is told: itself when it may be shown (zero, or five and more), else from 1 to 4."""
    return (count, count) if count == 0 or count >= SMALLEST_SHOWN else (1, SMALLEST_SHOWN - 1)


def shown_spans(flows: Mapping[str, int], stock: int) -> dict[str, tuple[int, int]]:
    """Spans of counts that flow into one stock ("waiting"), and of the stock.

    While a flow is hidden, the stock is told in steps of five: the change from month to month would give it away
    (the complementary suppression that the same policies ask for).
    """
    spans = {key: shown_span(count) for key, count in flows.items()}
    hidden = any(low != high for low, high in spans.values())
    low = stock - stock % SMALLEST_SHOWN
    coarse = (max(low, 1), low + SMALLEST_SHOWN - 1) if stock else (0, 0)
    spans["waiting"] = coarse if hidden else shown_span(stock)
    return spans


def leaks_in_text(texts: Mapping[str, str], households: Sequence[Private]) -> list[Leak]:
    """Leaks in free text. ``texts`` maps a place ("the story of Alder") to what a person wrote there.

    A single name is looked for as a whole word with a capital, so that "brown fluid" is not taken for
    a household named Brown, and "BROWN" or "Brown" is.
    """
    found = []
    for where, text in texts.items():
        found += [Leak(where, kind, "") for kind, shape in _SHAPES_READ if shape.search(text)]
        found += [Leak(where, "a name", house.alias) for house in households if _names_part(text, house)]
        found += _whole_values(where, text, households)
    return list(dict.fromkeys(found))


def leaks_in_outputs(
    outputs: Mapping[str, str], households: Sequence[Private], public_names: Iterable[str]
) -> list[Leak]:
    """Leaks in finished outputs. ``public_names`` (crew who sign, the fund) are taken out before the search."""
    allowed = [re.escape(name) for name in public_names if name.strip()]
    found = []
    for where, text in outputs.items():
        clean = re.sub("|".join(allowed), " ", text) if allowed else text
        found += _whole_values(where, clean, households, bare_plates=False)
    return list(dict.fromkeys(found))


def refuse_leaks(leaks: Sequence[Leak]) -> None:
    """Refuse to publish while anything private is in what would be published."""
    if leaks:
        raise NotReady(
            "Something that belongs to a household would be published. Reword it, then publish.",
            [leak.sentence for leak in leaks],
        )


def _names_part(text: str, house: Private) -> bool:
    for name in house.names:
        for part in re.findall(r"[^\W\d_]{2,}(?:['’-][^\W\d_]+)*", name):
            as_name = part[0].upper() + part[1:]
            if re.search(rf"(?<!\w)(?:{re.escape(as_name)}|{re.escape(part.upper())})(?!\w)", text):
                return True
    return False


def _whole_values(
    where: str, text: str, households: Sequence[Private], bare_plates: bool = True
) -> list[Leak]:
    lower = _plain(text)
    found = []
    for house in households:
        kinds = (
            ("a name", any(_as_words(name, lower) for name in house.names if len(name.split()) > 1)),
            (
                "a street",
                any(_as_words(street, lower) for written in house.streets for street in _street(written)),
            ),
            ("a telephone number", any(_spread(_digits(phone), lower, 7) for phone in house.phones)),
            ("a VIN", any(_spread(_bare(vin), lower, 8) for vin in house.vins)),
            (
                "a plate",
                any(
                    _spread(_bare(plate), lower, 4) for plate in house.plates if bare_plates or _mixed(plate)
                ),
            ),
        )
        found += [Leak(where, kind, house.alias) for kind, hit in kinds if hit]
    return found


def _plain(text: str) -> str:
    return " ".join(text.lower().split())


def _as_words(value: str, lower: str) -> bool:
    value = _plain(value)
    return len(value) >= 3 and value in lower and bool(re.search(rf"(?<!\w){re.escape(value)}(?!\w)", lower))


def _spread(bare: str, lower: str, least: int) -> bool:
    """Whether the signs of ``bare`` stand in the text in order, whatever dashes or spaces are between them."""
    if len(bare) < least:
        return False
    return bool(re.search(r"(?<![a-z0-9])" + r"[\s().-]{0,2}".join(bare) + r"(?![a-z0-9])", lower))


def _street(written: str) -> list[str]:
    """An address, and the street of it without the house number."""
    name = re.sub(r"^\s*\d+\w?\s+", "", written)
    return [written, name] if len(name.split()) > 1 else [written]


def _bare(value: str) -> str:
    return re.sub(r"[^a-z0-9]", "", value.lower())


def _digits(value: str) -> str:
    return re.sub(r"\D", "", value)[-10:]


def _mixed(plate: str) -> bool:
    # A plate of letters alone may be a plain word of the page; in what people write it is still looked for.
    return any(sign.isdigit() for sign in plate)
