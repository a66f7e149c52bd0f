"""Matching the bank's lines with the entries of the books, and posting what only the bank knew."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.utils.text import Truncator

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.bank.models import MatchGroup, MatchPart, MatchUndo, ReconciliationReview, StatementLine
from fund.bank.queries_open import open_items, open_lines
from fund.bank.rules import HAND, POSTED
from fund.bank.rules_difference import difference_hints
from fund.bank.rules_matching import Suggestion
from fund.bank.rules_posting import KINDS, UNKNOWN, missing_lines
from fund.gifts.actions import record_gift
from fund.gifts.rules import TRANSFER
from fund.gifts.rules_terms import UNIDENTIFIED
from fund.ledger.actions import post
from fund.ledger.chart import BANK
from fund.ledger.lock import hold_books
from fund.ledger.models import Entry, Line
from fund.ledger.queries import last_closed_month
from fund.ledger.rules import EntryDraft, month_of
from fund.money import Money, total
from fund.numbers import next_codes
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of a bank line that the books do not have: what it is and how much of it (signed like the line)."""

    kind: str
    amount: Money
    text: str = ""


@transaction.atomic
def confirm(
    *,
    by: Person,
    lines: Sequence[StatementLine],
    entries: Sequence[Entry] = (),
    way: str = HAND,
    why: str = "",
) -> MatchGroup:
    """Say that these lines of the bank are these entries of the books: both come to the same sum.

    One side may be empty if the other comes to 0.00: a slip of the bank and its correction, or a check that was stopped
    before the bank ever saw it. Refuses what is matched already and a difference, with hints where to look.
    """
    require(by, "bank.reconcile")
    hold_books()
    wanted = Suggestion(
        tuple(line.pk for line in lines), tuple(entry.number for entry in entries), way, why, False
    )
    return _confirm(by, [wanted])[0]


@transaction.atomic
def confirm_all(*, by: Person, chosen: Sequence[Suggestion]) -> list[MatchGroup]:
    """Confirm several suggestions at once; all or, if one no longer fits, none."""
    require(by, "bank.reconcile")
    hold_books()
    return _confirm(by, chosen)


def _confirm(by: Person, chosen: Sequence[Suggestion]) -> list[MatchGroup]:
    lines = {line.pk: line for line in open_lines()}
    items = {item.number: item for item in open_items()}
    codes = next_codes(MatchGroup, "code", "M-", len(chosen), width=5)
    groups: list[MatchGroup] = []
    parts: list[MatchPart] = []
    for code, one in zip(codes, chosen, strict=True):
        if len(set(one.bank)) != len(one.bank) or not (one.bank or one.books):
            raise BadInput("Choose lines of the bank or entries of the books, each once.")
        taken = [f"Line {key}" for key in one.bank if key not in lines] + [
            f"Entry {number}" for number in one.books if number not in items
        ]
        if taken:
            raise AlreadyDone(
                f"{', '.join(taken)}: matched already, or nothing to match in the bank account."
            )
        bank = [lines.pop(key) for key in one.bank]
        books = [items.pop(number) for number in dict.fromkeys(one.books)]
        _refuse_difference(
            [(f"line of {line.on}, {line.words}", line.amount) for line in bank],
            [(f"entry {item.number}, {item.text}", item.amount) for item in books],
        )
        days = [line.on for line in bank] or [item.posted for item in books]
        group = _group(by, code, one.way, one.why, max(days))
        groups.append(group)
        parts += [MatchPart(group=group, bank_line=line) for line in bank]
        parts += [MatchPart(group=group, book_line=line) for item in books for line in item.lines]
    MatchPart.objects.bulk_create(parts)
    for group, one in zip(groups, chosen, strict=True):
        text = f"{len(one.bank)} lines of the bank matched with {len(one.books)} entries. {one.why}".strip()
        record(by=by, action="bank.match", subject=group.code, text=text, data={"entries": list(one.books)})
    return groups


def _group(by: Person, code: str, way: str, why: str, cleared_on: date) -> MatchGroup:
    return MatchGroup.objects.create(
        code=code,
        way=way,
        why=why.strip()[:300] or "Chosen by hand.",
        cleared_on=cleared_on,
        by=by,
        at=clock.now(),
    )


def _refuse_difference(bank: list[tuple[str, Money]], books: list[tuple[str, Money]]) -> None:
    one, other = total(amount for _, amount in bank), total(amount for _, amount in books)
    if one != other:
        raise BadInput(
            f"The bank's lines come to {one}, the entries to {other}: {one - other} apart.",
            difference_hints(one - other, [*bank, *books]),
        )


@transaction.atomic
def undo(*, by: Person, group: MatchGroup, reason: str) -> MatchUndo:
    """Take a match back. Refuses an empty reason, and a match that a reviewed reconciliation of a closed month holds."""
    require(by, "bank.reconcile")
    hold_books()
    if not reason.strip():
        raise BadInput("Say in a few words why the match is undone.")
    if MatchUndo.objects.filter(group=group).exists():
        raise AlreadyDone(f"{group.code} is undone already.")
    month, closed = month_of(group.cleared_on), last_closed_month()
    signed = ReconciliationReview.objects.filter(reconciliation__month=month).exists()
    if signed and closed and month <= closed:
        raise NotReady(
            f"{group.code} stands in the reviewed reconciliation of {month}, and that month is closed. Put it right with an "
            "entry of this month."
        )
    done = MatchUndo.objects.create(group=group, reason=reason.strip()[:300], by=by, at=clock.now())
    record(by=by, action="bank.undo", subject=group.code, text=f"{group.code} undone: {reason.strip()}")
    return done


@transaction.atomic
def post_missing(*, by: Person, line: StatementLine, kind: str, text: str = "") -> MatchGroup:
    """Post the entry that only the bank knew of (a charge, interest, an unknown deposit) and match the line with it."""
    return split(by=by, line=line, pieces=[Piece(kind, line.amount, text)])


@transaction.atomic
def split(
    *, by: Person, line: StatementLine, pieces: Sequence[Piece], entries: Sequence[Entry] = (), why: str = ""
) -> MatchGroup:
    """Split a line of the bank into entries of the books and pieces that are posted now; together they are the line.

    Pieces are dated as the line is. Refuses an unknown kind, a piece of the wrong direction, a sum that is off.
    """
    require(by, "bank.reconcile")
    hold_books()
    if not open_lines().filter(pk=line.pk).exists():
        raise AlreadyDone(
            f"The line of {line.on} over {line.amount} is matched already, or was corrected by the bank."
        )
    if not pieces:
        return confirm(by=by, lines=[line], entries=entries, why=why)
    items = {item.number: item for item in open_items()}
    if taken := [entry for entry in entries if entry.number not in items]:
        raise AlreadyDone(
            f"Entry {taken[0].number} is matched already, or moves nothing in the bank account."
        )
    books = [items[entry.number] for entry in entries]
    _refuse_difference(
        [(f"line of {line.on}, {line.words}", line.amount)],
        [(f"entry {item.number}, {item.text}", item.amount) for item in books]
        + [
            (KINDS[piece.kind].label if piece.kind in KINDS else piece.kind, piece.amount) for piece in pieces
        ],
    )
    made = _post_pieces(by, line, pieces)
    added = Line.objects.filter(entry__in=made, account=BANK)
    numbers = ", ".join(str(entry.number) for entry in made)
    code = next_codes(MatchGroup, "code", "M-", 1, width=5)[0]
    group = _group(by, code, POSTED, why or f"Posted from the line as entry {numbers}.", line.on)
    book_lines = [*(row for item in books for row in item.lines), *added]
    MatchPart.objects.create(group=group, bank_line=line)
    MatchPart.objects.bulk_create(MatchPart(group=group, book_line=row) for row in book_lines)
    record(
        by=by,
        action="bank.post",
        subject=group.code,
        text=f"{total(piece.amount for piece in pieces)} of {line.on} posted from the bank's line: {line.words}",
        data={"entries": [entry.number for entry in made]},
    )
    return group


def _post_pieces(by: Person, line: StatementLine, pieces: Sequence[Piece]) -> list[Entry]:
    """One entry for what the bank alone knows; an unknown deposit is kept by the gifts' room, which finds its giver."""
    made: list[Entry] = []
    own = [piece for piece in pieces if piece.kind != UNKNOWN]
    drafts = [
        draft
        for piece in own
        for draft in missing_lines(piece.kind, piece.amount, piece.text.strip() or line.words)
    ]
    if own:
        words = next((piece.text.strip() for piece in own if piece.text.strip()), "")
        text = Truncator(words or f"{KINDS[own[0].kind].label}: {line.words}").chars(200)
        source = Truncator(f"bank {line.ref}").chars(120)
        made.append(post(by=by, draft=EntryDraft("bank line", line.on, text, drafts, source)))
    for piece in pieces:
        if piece.kind == UNKNOWN:
            missing_lines(piece.kind, piece.amount, "")  # refuses money out
            words = Truncator(piece.text.strip() or line.words).chars(300)
            gift = record_gift(
                by=by,
                kind=TRANSFER,
                received_on=line.on,
                amount=piece.amount,
                nature=UNIDENTIFIED,
                terms=words,
            )
            assert gift.entry is not None
            made.append(gift.entry)
    return made
