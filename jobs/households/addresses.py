"""What an address says, however it is written: with commas or without, the unit first or last, words short or long. Pure.

Short forms of street words and unit designators are those of the US Postal Service (Publication 28, appendix C).
Town, state and ZIP code are left out: they are often not written, and a fund works in one place. Where neither a
comma nor a street word tells the street from the town ("12 Broadway Larkwater"), the town stays.
"""

import re
from dataclasses import dataclass

from jobs.households.plain import plain

DIRECTIONS = {
    "north": "n",
    "south": "s",
    "east": "e",
    "west": "w",
    "northeast": "ne",
    "northwest": "nw",
    "southeast": "se",
    "southwest": "sw",
}
_WAYS = {
    "street": "st",
    "avenue": "ave",
    "road": "rd",
    "drive": "dr",
    "lane": "ln",
    "court": "ct",
    "place": "pl",
    "boulevard": "blvd",
    "highway": "hwy",
    "parkway": "pkwy",
    "circle": "cir",
    "terrace": "ter",
    "trail": "trl",
    "square": "sq",
    "crossing": "xing",
    "route": "rte",
    "alley": "aly",
    "way": "way",
    "pike": "pike",
    "loop": "loop",
    "path": "path",
    "row": "row",
}
# Words that end a street's name, but a town's as well: they count where none of those above is there.
_PERHAPS = frozenset(
    {"bend", "cove", "glen", "grove", "hill", "hollow", "landing", "point", "ridge", "run", "view", "walk"}
)
SHORT = DIRECTIONS | _WAYS | {"mount": "mt", "saint": "st", "av": "ave"}
WAYS = frozenset(_WAYS) | frozenset(_WAYS.values())
_SURE = frozenset(_WAYS.values())
_HEADINGS = frozenset(DIRECTIONS.values())
# A number after these belongs to the name: State Road 9, Highway 61.
_NUMBERED = frozenset({"hwy", "rte"})
_NUMBERED_BY = frozenset({"county", "state", "co", "farm", "forest"})
# Spanish puts the word before the name and the number behind it: Calle Mármol 12.
_BEFORE = frozenset({"calle", "avenida", "camino"})

_UNIT = re.compile(
    r"\b(?:(?:apartment|apt|apto|apartamento|unit|suite|ste|number|no|room|rm|lot|trailer|trlr|building|bldg|space|spc)"
    r" )+((?=\w*\d)\w{1,6}|[a-z])\b"
)
_HOUSE = re.compile(r"\d{1,6}[a-z]?")
_AFTER = re.compile(r"\d{1,4}[a-z]?")
_DOOR = re.compile(r"(?=\w*\d)\w{1,4}|[a-df-mo-rt-vx-z]")
_ZIP = re.compile(r"\d{5}")
_BOX = re.compile(r"\b(?:po|rr \w+|hc \w+) box \w+")


@dataclass(frozen=True, slots=True)
class Address:
    """House number, words of the street, and unit (its number alone), in short forms; each may be empty."""

    number: str = ""
    name: tuple[str, ...] = ()
    unit: str = ""

    @property
    def key(self) -> str:
        """Equal for two spellings of one door: ``12 mill st 4b``. Empty where no street was read."""
        return " ".join(part for part in (self.number, *self.name, self.unit) if part) if self.name else ""

    @property
    def searched(self) -> tuple[str, ...]:
        """What shows the street in a text of short forms: its name, or number and name where that is one word."""
        inner = _without_headings(self.name)
        if len(inner) < 2:
            inner = self.name
        numbered = (self.number, *inner)
        found = [" ".join(inner)] if len(inner) > 1 else []
        if self.number and not _ends_as_street(inner):
            # Words after the first may be the town.
            found.append(" ".join(numbered[:2]))
        return tuple(found)

    @property
    def proper(self) -> str:
        """The street's own name without its street word, where that is two words or more: ``marble fox``."""
        inner = _without_headings(self.name)
        own = inner[:-1] if _ends_as_street(inner) and inner[-1] in _SURE | _PERHAPS else ()
        return " ".join(own) if len(own) > 1 else ""


def short(text: str) -> str:
    """A text as :func:`~jobs.households.plain.plain` gives it, with street words and directions in short forms."""
    words = " ".join(SHORT.get(word, word) for word in plain(text).split())
    words = re.sub(r"\b(?:p o|post office) box\b|\bpobox\b|\bpob\b", "po box", words)
    return re.sub(r"\b(?:rural rte|r r)\b", "rr", words)


def read_address(text: str) -> Address:
    """The door that an address means. Never refuses: what cannot be read is the name as it stands."""
    joined = re.sub(r"(?<=\d)-(?=[A-Za-z]\b)|(?<=\b[A-Za-z])-(?=\d)", "", text).replace("#", " unit ")
    units: list[str] = []
    parts = []
    for part in re.split(r"[,;\n](?! *box\b)", joined, flags=re.I):
        words = plain(part)
        units += _UNIT.findall(words)
        if rest := " ".join(_UNIT.sub(" ", words).split()):
            parts.append(rest)
    number, name, door = _choose(parts)
    units = [*door, *units]
    if name and not number and units and name[0] not in {"po", "rr", "hc"}:
        number, *units = units
    return Address(number, tuple(name), " ".join(units))


@dataclass(frozen=True, slots=True)
class _Read:
    rank: int
    number: str
    name: list[str]
    door: list[str]


def _choose(parts: list[str]) -> tuple[str, list[str], list[str]]:
    """The part that is read best, the first of its rank, with a lone word after it as the unit."""
    if not parts:
        return "", [], []
    read = [_read(place, part) for place, part in enumerate(parts)]
    place = min(range(len(read)), key=lambda index: (read[index].rank, index))
    best = read[place]
    door = list(best.door)
    if best.rank < _BOXED and not door and place + 1 < len(parts):
        after = parts[place + 1]
        door = [after] if _DOOR.fullmatch(after) else []
    return best.number, best.name, door


_NUMBER_AND_WAY, _WAY_AND_NUMBER, _NUMBER_ONLY, _BOXED, _WAY_ONLY, _AS_IT_STANDS = range(6)


def _read(place: int, part: str) -> _Read:
    raw = part.split()
    words = short(part).split()
    if box := _BOX.search(" ".join(words)):
        return _Read(_BOXED, "", box.group().split(), [])
    number = words[0] if _HOUSE.fullmatch(words[0]) else ""
    rest = words[1:] if number else words
    end = _end(rest)
    if not end:
        told = number and any(word.isalpha() for word in rest) and not (place and _ZIP.fullmatch(number))
        return _Read(_NUMBER_ONLY, number, rest, []) if told else _Read(_AS_IT_STANDS, "", words, [])
    after, name = rest[end:], rest[:end]
    if after and _numbered(name) and _AFTER.fullmatch(after[0]):
        name, after = [*name, after[0]], after[1:]
    if after and after[0] in _HEADINGS and (len(after) == 1 or len(raw[len(words) - len(after)]) < 3):
        name, after = [*name, after[0]], after[1:]
    if not number and after and _AFTER.fullmatch(after[0]):
        return _Read(_WAY_AND_NUMBER, after[0], name, [])
    if number and place and _ZIP.fullmatch(number) and name[-1] in _PERHAPS:
        return _Read(_AS_IT_STANDS, "", words, [])
    door = [after[0]] if number and after and _DOOR.fullmatch(after[0]) else []
    sure = any(word in _SURE | _BEFORE for word in name)
    return _Read(_NUMBER_AND_WAY if number else _WAY_ONLY if sure else _AS_IT_STANDS, number, name, door)


def _end(words: list[str]) -> int:
    """How many words the name of a street takes, its street word included; 0 where no street word is there."""
    if len(words) > 1 and words[0] in _SURE and re.fullmatch(r"[a-z]|\d{1,4}", words[1]):
        return 2
    if len(words) > 1 and words[0] in _BEFORE:
        return next(
            (place for place, word in enumerate(words) if place and _AFTER.fullmatch(word)), len(words)
        )
    for kinds in (_SURE, _PERHAPS):
        for place in range(1, len(words)):
            if words[place] in kinds:
                while place + 1 < len(words) and words[place + 1] in _SURE - {"st"}:
                    place += 1
                return place + 1
    return 0


def _numbered(name: list[str]) -> bool:
    return name[-1] in _NUMBERED or (name[-1] == "rd" and len(name) > 1 and name[-2] in _NUMBERED_BY)


def _ends_as_street(name: tuple[str, ...]) -> bool:
    return len(name) > 1 and (any(word in _SURE | _BEFORE for word in name) or name[-1] in _PERHAPS)


def _without_headings(name: tuple[str, ...]) -> tuple[str, ...]:
    start, end = 0, len(name)
    while start < end and name[start] in _HEADINGS:
        start += 1
    while end > start and name[end - 1] in _HEADINGS:
        end -= 1
    return name[start:end]
