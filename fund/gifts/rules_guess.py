"""How an unknown payout file is probably written: guessed from its headers and its cells, for a person to correct. Pure."""

import csv
import io
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from fund.gifts.rules_guess_looks import MOST_WORDS, Look, look_at, money_in, net_column, unnamed
from fund.gifts.rules_guess_words import FEE_WORDS, HEADER_WORDS, HIDDEN, kind_of_word, tokens
from fund.gifts.rules_layout import (
    BALANCE,
    DATE_ORDERS,
    DELIMITERS,
    GIFT,
    PLAIN,
    PLATFORM_FEE,
    PROCESSING_FEE,
    LayoutSpec,
)
from fund.gifts.rules_rows import parse_day
from fund.refusal import BadInput

FIRST, LAST = 300, 100  # rows that a guess looks at; payouts stand at the end of some files


@dataclass(frozen=True)
class Sample:
    """A file cut into cells."""

    delimiter: str
    encoding: str
    header: list[str]
    all_rows: list[list[str]]

    @cached_property
    def rows(self) -> list[list[str]]:
        """Rows of its beginning and its end."""
        return self.all_rows[:FIRST] + self.all_rows[FIRST:][-LAST:]

    def column(self, index: int) -> list[str]:
        return [row[index].strip() for row in self.rows if len(row) == len(self.header)]


@dataclass
class Guess:
    """What each column probably holds (by index: a field, a kind of fee, or nothing) and how the file is written."""

    columns: dict[int, str] = field(default_factory=dict)
    fees: dict[int, str] = field(default_factory=dict)
    date_order: str = "YMD"
    decimal_mark: str = "."
    signs: str = PLAIN
    hidden_words: tuple[str, ...] = ("yes", "true", "1", "private")


def read_sample(data: bytes) -> Sample:
    """The header and rows of a file of unknown make. Refuses what is no table of text."""
    encoding, text = _decoded(data)
    lines = text.splitlines()
    first = next((line for line in lines if line.strip()), "")
    counted = {mark: first.count(mark) for mark in DELIMITERS}
    delimiter = max(counted, key=lambda mark: counted[mark])
    if not counted[delimiter]:
        raise BadInput("The file is not a table of cells. Export it from the platform as CSV.")
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    except csv.Error as error:
        raise BadInput(f"The file cannot be cut into cells: {error}. Export it again.") from error
    rows = [row for row in rows if any(cell.strip() for cell in row)]
    if len(rows) < 2:
        raise BadInput("The file has a header but no row under it. Export a period with some gifts.")
    header = [cell.strip() for cell in rows[0]]
    if len(set(header)) != len(header) or "" in header:
        raise BadInput("A column has no header, or two have the same. A layout tells columns apart by them.")
    return Sample(delimiter, encoding, header, rows[1:])


def _decoded(data: bytes) -> tuple[str, str]:
    if not data.strip():
        raise BadInput("The file is empty.")
    tried = ("utf-16",) if data[:2] in (b"\xff\xfe", b"\xfe\xff") else ("utf-8-sig", "cp1252", "latin-1")
    for encoding in tried:
        try:
            text = data.decode(encoding)
        except UnicodeError:
            continue
        if "\0" not in text:
            return ("utf-8" if encoding == "utf-8-sig" else encoding), text
    raise BadInput("The file is not a text file. Export it from the platform as CSV.")


def guess(sample: Sample) -> Guess:
    """Guess by header and by content; a person looks at it before it is used."""
    made = Guess()
    made.decimal_mark = _decimal_mark(sample)
    cells = [sample.column(index) for index in range(len(sample.header))]
    made.date_order = _date_order(cells, made.decimal_mark)
    looks = [look_at(column, made.date_order, made.decimal_mark) for column in cells]
    _guess_columns(sample, cells, looks, made)
    by_field = {what: index for index, what in made.columns.items()}
    if "amount" in by_field:
        made.signs = _signs(cells[by_field["amount"]], made.decimal_mark)
    if "hidden" in by_field:
        words = sorted({cell.casefold() for cell in cells[by_field["hidden"]] if cell.casefold() in HIDDEN})
        made.hidden_words = tuple(words) or made.hidden_words
    return made


def _guess_columns(sample: Sample, cells: list[list[str]], looks: list[Look], made: Guess) -> None:
    refs = _best_ref(sample.header, looks)
    known = set(cells[refs]) - {""} if refs is not None else set()
    scores: list[tuple[float, int, str]] = []
    for index, header in enumerate(sample.header):
        for what in HEADER_WORDS:
            score = _score(what, header, looks[index])
            if what == "gift_ref" and known and index != refs:
                own = {cell for cell in cells[index] if cell}
                # Cells that are ids of other rows say more than any header.
                score += 6 if own and own <= known and len(own) < len(known) else 0
            if score > 2:
                scores.append((score, index, what))
    if refs is not None:
        made.columns[refs] = "ref"
    for _, index, what in sorted(scores, key=lambda one: (-one[0], one[1])):
        fee = _fee_kind(sample.header[index], looks[index])
        if index in made.columns or what in made.columns.values() or (fee and what in ("amount", "net")):
            continue
        made.columns[index] = what
    for index, header in enumerate(sample.header):
        fee = _fee_kind(header, looks[index])
        if fee and index not in made.columns:
            made.fees[index] = fee
    made.columns |= unnamed(looks, cells, made.columns, made.fees, made.decimal_mark)
    _find_net(cells, looks, made)


def _find_net(cells: list[list[str]], looks: list[Look], made: Guess) -> None:
    """Amount less fees: sums that hold in every row say more than any header, and find a fee that no header names."""
    amount = next((index for index, what in made.columns.items() if what == "amount"), None)
    if amount is None:
        return
    able = [index for index in range(len(cells)) if made.columns.get(index, "net") == "net"]
    free = [index for index in able if index not in made.columns and index not in made.fees]
    for more in ([], *([index] for index in free if looks[index].money > 0.95)):
        index = net_column(cells, amount, [*made.fees, *more], able, made.decimal_mark)
        if index is None or index in more:
            continue
        made.columns = {at: what for at, what in made.columns.items() if what != "net"} | {index: "net"}
        made.fees |= dict.fromkeys(more, PLATFORM_FEE)
        made.fees.pop(index, None)
        return


def _best_ref(header: list[str], looks: list[Look]) -> int | None:
    """The id of each row: never empty, never twice; the header breaks a tie."""
    able = [at for at, look in enumerate(looks) if look.unique and look.filled == 1 and look.email < 0.5]
    scored = [(_score("ref", header[at], looks[at]), -at) for at in able]
    return -max(scored)[1] if scored and max(scored)[0] > 0 else None


def _score(what: str, header: str, look: Look) -> float:
    """How well a column fits a field: words of its header, and whether its cells can be read so."""
    told = HEADER_WORDS[what]
    points = float(sum(told.get(token, 0) for token in tokens(header)))
    fits = {
        "ref": look.unique and look.filled == 1,
        "date": look.date > 0.95 and look.filled == 1,
        "type": look.filled == 1 and look.different <= MOST_WORDS and look.money < 0.5 and look.date < 0.5,
        "amount": look.money > 0.95 and look.filled > 0.9,
        "net": look.money > 0.95,
        "payout": look.date < 0.5 and look.email < 0.5 and not look.unique,
        "gift_ref": look.filled < 0.9 and look.date < 0.5,
        "email": look.email > 0.8,
        "hidden": look.yesno,
        "currency": look.currency > 0.9 and look.different <= 12,
        "foreign": look.money > 0.95,
        "rate": look.rate > 0.9,
        "name": look.money < 0.2 and look.date < 0.2 and look.email < 0.5,
        "supporter_id": look.date < 0.5 and look.email < 0.5 and look.spaced < 0.5,
        "purpose": look.money < 0.5 and look.date < 0.5 and look.different <= MOST_WORDS,
    }
    if not fits[what]:
        return 0
    content = {"email": 5.0, "date": 2.5, "rate": 1.0, "currency": 3.0}
    return points + content.get(what, 0)


def _fee_kind(header: str, look: Look) -> str:
    """Whether a column holds fees, and whose; empty when it does not."""
    told = set(tokens(header))
    if look.money < 0.95 or not told & FEE_WORDS["any"]:
        return ""
    return PLATFORM_FEE if told & FEE_WORDS[PLATFORM_FEE] else PROCESSING_FEE


def _decimal_mark(sample: Sample) -> str:
    cells = [cell for row in sample.rows for cell in row]
    commas = sum(bool(re.fullmatch(r"-?\d{1,3}(\.\d{3})*,\d{2}", cell.strip())) for cell in cells)
    points = sum(bool(re.fullmatch(r"-?\d{1,3}(,?\d{3})*\.\d{2}", cell.strip())) for cell in cells)
    return "," if commas > points and sample.delimiter != "," else "."


def _date_order(columns: list[list[str]], decimal_mark: str) -> str:
    """The order that reads most cells of the file as dates.

    Where day and month cannot be told apart, the day is first if dates have points or amounts a decimal comma, as in the
    countries that write so; else the month.
    """
    counted = {
        order: sum(parse_day(cell, order) is not None for column in columns for cell in column)
        for order in DATE_ORDERS
    }
    if counted["DMY"] == counted["MDY"] > counted["YMD"]:
        days = [cell for column in columns for cell in column if parse_day(cell, "DMY") is not None]
        pointed = sum("." in cell.split()[0] for cell in days)
        return "DMY" if decimal_mark == "," or pointed > len(days) / 2 else "MDY"
    return max(counted, key=lambda order: counted[order])


def _signs(amounts: Sequence[str], mark: str) -> str:
    """Anything below zero means that amounts are movements; where the kind of row says the way, none is."""
    below = (amount for text in amounts if (amount := money_in(text, mark)) and amount.minor < 0)
    return BALANCE if next(below, None) else PLAIN


def words_of(sample: Sample, index: int) -> list[str]:
    """The different words of a column of the whole file, in order of how often they stand there."""
    counted = Counter(row[index].strip() for row in sample.all_rows if len(row) == len(sample.header))
    del counted[""]
    return sorted(counted, key=lambda word: (-counted[word], word))[: MOST_WORDS + 1]


def spec_of(
    sample: Sample, name: str, columns: Mapping[int, str], fees: Mapping[int, str], **more: object
) -> LayoutSpec:
    """A layout from what each column holds; every column that holds nothing for the books is ignored."""
    used = {*columns, *fees}
    return LayoutSpec(
        name=name,
        columns={what: sample.header[index] for index, what in columns.items()},
        fees={sample.header[index]: kind for index, kind in fees.items()},
        ignored=tuple(header for index, header in enumerate(sample.header) if index not in used),
        delimiter=sample.delimiter,
        encoding=sample.encoding,
        **more,  # type: ignore[arg-type]
    )


def guessed_words(words: Sequence[str]) -> dict[str, str]:
    """What each word of the kind column probably means; the most frequent one is a gift if none else is."""
    told = {word: kind_of_word(word) for word in words}
    if GIFT not in told.values() and words:
        told[next((word for word in words if not told[word]), words[0])] = GIFT
    return told
