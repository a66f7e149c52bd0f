"""What may never reach a public page, and the search for it. No database here.

Two searches. Free text that a person wrote (stories, aliases, names of purposes) is searched for anything that
belongs to a household and for things that look private by their shape. Every finished output (page, record,
lines, PDF text, chart) is searched for the whole values once more, so that a leak through a template shows too.
"""

import html
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from fund.refusal import NotReady
from jobs.households.addresses import WAYS, read_address, short
from jobs.households.plain import bare, plain

# Counts from 1 to 4 point at households in a small town; zero may be shown. The published policies differ: the
# CMS cell size policy (ResDAC, 2024-01-26) hides 1 to 10, NHS England hid 1 to 5 before 2018. A count that
# could be worked out from other published figures is as good as shown, so no totals stand beside these.
SMALLEST_SHOWN = 5

_MONTHS = (
    "jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|"
    "oct(?:ober)?|nov(?:ember)?|dec(?:ember)?"
)
_WAYS = "st|street|ave|avenue|rd|road|ln|lane|dr|drive|ct|court|way|blvd"
_ALL_WAYS = "|".join(sorted(WAYS, key=len, reverse=True))
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
    # More words, and the rarer street words, with capitals only: "30 minute test drive" is shop talk.
    ("a street address", rf"\b\d{{1,5}} (?:(?-i:[A-Z])[\w.'’-]* ){{1,4}}(?:{_ALL_WAYS})\b"),
)
_SHAPES_READ = [(kind, re.compile(shape, re.I)) for kind, shape in _SHAPES]


@dataclass(frozen=True, slots=True)
class Private:
    """Values of one household that may not be published, as typed. ``alias`` is what stands for it; ``streets`` are
    whole addresses, in which the street is found wherever it stands."""

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
    a household named Brown, and "BROWN" or "Brown" is. So is a street without its street word, where that leaves two
    words: "on Marble Fox". Accents never count, nor whether a street word is written short.
    """
    wanted = [_Wanted.of(house) for house in households]
    found = []
    for where, text in texts.items():
        found += [Leak(where, kind, "") for kind, shape in _SHAPES_READ if shape.search(bare(text))]
        names, streets = _capitals(text, plain), _capitals(text, short)
        for house in wanted:
            if any(_stands(part, names) for part in house.name_parts):
                found.append(Leak(where, "a name", house.alias))
            if any(_stands(street, streets) for street in house.proper):
                found.append(Leak(where, "a street", house.alias))
        found += _whole_values(where, text, wanted)
    return list(dict.fromkeys(found))


def leaks_in_outputs(
    outputs: Mapping[str, str], households: Sequence[Private], public_names: Iterable[str]
) -> list[Leak]:
    """Leaks in finished outputs. ``public_names`` (crew who sign, the fund) are taken out before the search."""
    allowed = [re.escape(name) for name in public_names if name.strip()]
    wanted = [_Wanted.of(house) for house in households]
    found = []
    for where, text in outputs.items():
        # A page may have been written with entities: O&#x27;Shea.
        read = html.unescape(text)
        clean = re.sub("|".join(allowed), " ", read) if allowed else read
        found += _whole_values(where, clean, wanted, bare_plates=False)
    return list(dict.fromkeys(found))


def refuse_leaks(leaks: Sequence[Leak]) -> None:
    """Refuse to publish while anything private is in what would be published."""
    if leaks:
        raise NotReady(
            "Something that belongs to a household would be published. Reword it, then publish.",
            [leak.sentence for leak in leaks],
        )


# The signs of a value, and how they may stand in a text.
_Shape = tuple[str, re.Pattern[str]]
_BETWEEN = re.compile(r"[\s().-]+")


@dataclass(frozen=True, slots=True)
class _Wanted:
    """The values of one household as they are looked for: tidied once, then compared with every text."""

    alias: str
    names: tuple[str, ...]
    name_parts: tuple[str, ...]
    streets: tuple[str, ...]
    proper: tuple[str, ...]
    phones: tuple[_Shape, ...]
    vins: tuple[_Shape, ...]
    plates: tuple[_Shape, ...]
    mixed_plates: tuple[_Shape, ...]

    @classmethod
    def of(cls, house: Private) -> "_Wanted":
        names = [plain(_joined(name)) for name in house.names]
        addresses = [read_address(written) for written in house.streets]
        return cls(
            alias=house.alias,
            names=tuple(name for name in names if " " in name),
            # "D'Angelo" is known as Angelo too.
            name_parts=tuple({part for name in (*names, *map(plain, house.names)) for part in _parts(name)}),
            streets=tuple(street for address in addresses for street in address.searched),
            proper=tuple(address.proper for address in addresses if address.proper),
            phones=_spread([_digits(phone) for phone in house.phones], 7),
            vins=_spread([_bare(vin) for vin in house.vins], 8),
            plates=_spread([_bare(plate) for plate in house.plates], 4),
            mixed_plates=_spread([_bare(plate) for plate in house.plates if _mixed(plate)], 4),
        )


def _whole_values(
    where: str, text: str, households: Sequence[_Wanted], bare_plates: bool = True
) -> list[Leak]:
    lower, names, streets = (
        " ".join(text.lower().split()),
        _framed(plain(_joined(text))),
        _framed(short(text)),
    )
    close = _BETWEEN.sub("", lower)
    found = []
    for house in households:
        plates = house.plates if bare_plates else house.mixed_plates
        kinds = (
            ("a name", any(_stands(name, names) for name in house.names)),
            ("a street", any(_stands(street, streets) for street in house.streets)),
            ("a telephone number", _drawn(house.phones, lower, close)),
            ("a VIN", _drawn(house.vins, lower, close)),
            ("a plate", _drawn(plates, lower, close)),
        )
        found += [Leak(where, kind, house.alias) for kind, hit in kinds if hit]
    return found


def _framed(words: str) -> str:
    return f" {words} "


def _stands(value: str, framed: str) -> bool:
    """Whether the words of ``value`` stand in the text in order, as whole words."""
    return f" {value} " in framed


def _capitals(text: str, tidy: Callable[[str], str]) -> str:
    """The words with a capital, tidied, in order; a word without one is a mark that nothing matches."""
    words = re.findall(r"[^\W_]+", bare(_joined(text)))
    return _framed(" ".join(tidy(word) if word[0].isupper() else "_" for word in words))


def _joined(text: str) -> str:
    """O'Shea as OShea: one name, whether its mark is written or not. The s of "Brown's" stays apart."""
    return re.sub(r"(?<![^\W_])([^\W\d_])['’](?=[^\W\d_]{2})", r"\1", text)


def _parts(name: str) -> list[str]:
    return [word for word in name.split() if len(word) > 1 and word.isalpha()]


def _spread(values: Iterable[str], least: int) -> tuple[_Shape, ...]:
    """Shapes of values whose signs stand in the text in order, whatever dashes or spaces are between them."""
    return tuple(
        (value, re.compile(r"(?<![a-z0-9])" + r"[\s().-]{0,2}".join(value) + r"(?![a-z0-9])"))
        for value in values
        if len(value) >= least
    )


def _drawn(shapes: Sequence[_Shape], lower: str, close: str) -> bool:
    # ``close`` is the text without anything that may stand between the signs: looking there first spares the slow search.
    return any(value in close and shape.search(lower) for value, shape in shapes)


def _bare(value: str) -> str:
    return re.sub(r"[^a-z0-9]", "", value.lower())


def _digits(value: str) -> str:
    return re.sub(r"\D", "", value)[-10:]


def _mixed(plate: str) -> bool:
    # A plate of letters alone may be a plain word of the page; in what people write it is still looked for.
    return any(sign.isdigit() for sign in plate)
