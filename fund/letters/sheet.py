"""A letter as paper and as the text of an e-mail, made from what is kept of it alone."""

from collections.abc import Iterable
from datetime import date, datetime, time
from typing import Any

from django.utils import timezone

from fund.letters.models import Letter
from fund.letters.queries import is_void
from fund.letters.rules_words import long_day
from fund.pdf import render_pdf

FORGOTTEN = "Name removed at the giver's wish"


def data_of(letter: Letter) -> dict[str, Any]:
    """A letter's words with to whom and when, as JSON values."""
    return letter_data(
        letter.words,
        name=letter.to_name,
        address=letter.to_address,
        on=letter.on,
        number=str(letter.number),
        void=f"{letter.void.reason} ({letter.void.on})" if is_void(letter) else "",
    )


def letter_data(
    words: dict[str, Any], *, name: str, address: str, on: date, number: str, void: str = ""
) -> dict[str, Any]:
    lines = [line.strip() for line in address.splitlines() if line.strip()]
    return words | {
        "to": [name or FORGOTTEN, *lines],
        "greeting": f"Dear {name}," if name else "Dear supporter,",
        "day": long_day(on),
        "number": number,
        "void": void,
    }


def letters_pdf(letters: Iterable[Letter], title: str) -> bytes:
    """One PDF of these letters, each on pages of its own. The same letters always give the same bytes."""
    rows = list(letters)
    data = {"title": title, "foot": rows[0].words["fund"], "letters": [data_of(row) for row in rows]}
    newest = max(row.on for row in rows)
    return render_pdf("letter", data, at=_noon(newest))


def _noon(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time(12)))


def letter_pdf(letter: Letter) -> bytes:
    return letters_pdf([letter], f"Letter {letter.number}: {letter.words['subject']}")


def email_text(letter: Letter) -> str:
    """The letter as plain text for an e-mail, lines unbroken."""
    data = data_of(letter)
    parts = [data["greeting"], data["opening"][:1].upper() + data["opening"][1:]]
    if data["rows"]:
        parts.append("\n".join(_line(row, data["columns"]) for row in data["rows"]))
    if len(data["rows"]) > 1:
        given, part = data["total"]
        parts.append(f"Together: ${given}" + (f", of it gift ${part}" if data["columns"] == "parts" else ""))
    if data["goods"]:
        parts.append("\n".join(f"{on}, {code}: {goods}" for on, code, goods, _ in data["goods"]))
    parts += [*data["statements"], *data["earlier"], *data["closing"]]
    sender = f"{data['signed_by']}\nfor the {data['fund']}, {data['town']}"
    parts.append(sender + (f"\nTax number {data['tax_id']}" if data["tax_id"] else ""))
    parts.append(f"Letter {data['number']} of {data['day']}. {data['source']}".strip())
    if data["void"]:
        parts.insert(0, f"VOID: {data['void']}")
    return "\n\n".join(parts) + "\n"


def _line(row: list[str], columns: str) -> str:
    on, code, how, given, value, part = row
    text = f"{on}, {code}, {how}: ${given}"
    if columns == "parts":
        text += (f", value in return ${value}" if value else "") + f", gift ${part}".replace("$none", "none")
    return text
