import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import Max

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.models import Gift, Supporter
from fund.ledger.lock import hold_books
from fund.letters.models import Letter, LetterBatch, LetterGift, LetterVoid
from fund.letters.queries import Material, gifts_of_year, is_void, letter_by_number, material
from fund.letters.rules import GiftFacts, gift_parts, money_given
from fund.letters.rules_words import GIFT, YEAR, Sender, words_of
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.rulebook.queries import rules_on
from fund.trail.actions import record

POWER = "letter.write"


@dataclass(frozen=True, slots=True)
class Plan:
    """A letter that is about to be written: to whom, about which gifts, in which words."""

    kind: str
    year: int
    supporter: Supporter
    material: Material
    words: dict[str, Any]
    replaces: Letter | None = None


def sender(by: Person, on: date) -> Sender:
    rules = rules_on(on)
    tax_id = rules["tax_id"]
    return Sender(rules["fund_name"], rules["town"], "" if tax_id == "none yet" else tax_id, by.label)


def plan_gift_letter(by: Person, gift: Gift, *, again: bool = False) -> Plan:
    """The letter about one gift, not yet written. Refuses a gift that no letter may speak of, with the reason."""
    if gift.supporter is None:
        raise BadInput(f"{gift.code} has no name to it, so there is nobody to write to.")
    held = material(Gift.objects.filter(pk=gift.pk), again=again)[gift.supporter.pk]
    if not held.named:
        raise _nothing(f"{gift.code} gets no letter.", held)
    words = words_of(GIFT, held.facts, sender(by, clock.today()), gift.received_on.year, held.earlier)
    return Plan(GIFT, gift.received_on.year, gift.supporter, held, words)


def plan_year_letter(by: Person, supporter: Supporter, year: int, *, again: bool = False) -> Plan:
    """The letter about a supporter's year, not yet written. Refuses a year without a gift it may speak of."""
    held = material(gifts_of_year(year, supporter), again=again).get(supporter.pk)
    if held is None or not held.named:
        raise _nothing(f"{supporter.code} gets no letter for {year}.", held)
    words = words_of(YEAR, held.facts, sender(by, clock.today()), year, held.earlier)
    return Plan(YEAR, year, supporter, held, words)


def _nothing(sentence: str, held: Material | None) -> BadInput | AlreadyDone:
    reasons = [f"{facts.code} of {facts.on}: {why}" for facts, why in held.left_out] if held else []
    if not reasons:
        return BadInput(f"{sentence} There is no gift.")
    kind = AlreadyDone if any("stands in letter" in why for why in reasons) else BadInput
    return kind(sentence, reasons)


@transaction.atomic
def write_gift_letter(*, by: Person, gift: Gift, again: bool = False) -> Letter:
    """Write the acknowledgment of one gift.

    Refuses a gift without a name, one that went back, is disputed or held, and one that stands in a letter already
    unless ``again`` is said: the new letter then names the old one.
    """
    require(by, POWER)
    hold_books()
    gift = Gift.objects.select_related("supporter").get(pk=gift.pk)
    return write_plans(by, [plan_gift_letter(by, gift, again=again)])[0]


@transaction.atomic
def write_year_letter(*, by: Person, supporter: Supporter, year: int, again: bool = False) -> Letter:
    """Write the acknowledgment of a calendar year. Refuses a year that is not over and what one gift refuses."""
    require(by, POWER)
    refuse_open_year(year)
    hold_books()
    return write_plans(by, [plan_year_letter(by, supporter, year, again=again)])[0]


@transaction.atomic
def void_letter(*, by: Person, letter: Letter, reason: str) -> LetterVoid:
    """Withdraw a letter; it stays as it was written, and its gifts may stand in a new one. Refuses an empty reason."""
    require(by, POWER)
    hold_books()
    found = letter_by_number(letter.number)
    assert found is not None
    if is_void(found):
        raise AlreadyDone(f"Letter {found.number} is void already.")
    if not reason.strip():
        raise BadInput("Say in a few words why the letter is withdrawn.")
    void = LetterVoid.objects.create(
        letter=found,
        on=clock.today(),
        reason=reason.strip()[:200],
        voided_by=by,
        voided_at=clock.now(),
    )
    text = f"Letter {found.number} to {found.supporter.code} is void: {reason.strip()}"
    record(by=by, action="letter.void", subject=f"letter {found.number}", text=text)
    return void


@transaction.atomic
def write_anew(*, by: Person, letter: Letter) -> Letter:
    """A new letter in place of a void one, about what its gift or its year is now. Refuses a letter that stands."""
    require(by, POWER)
    hold_books()
    found = letter_by_number(letter.number)
    assert found is not None
    if not is_void(found):
        raise NotReady(f"Letter {found.number} stands. Withdraw it first.")
    if hasattr(found, "replaced_by"):
        raise AlreadyDone(
            f"Letter {found.replaced_by.number} has taken the place of letter {found.number} already."
        )
    plan = _plan_anew(by, found)
    return write_plans(
        by,
        [Plan(plan.kind, plan.year, plan.supporter, plan.material, plan.words, replaces=found)],
    )[0]


def _plan_anew(by: Person, letter: Letter) -> Plan:
    if letter.kind == YEAR:
        return plan_year_letter(by, letter.supporter.merged_into or letter.supporter, letter.year)
    line = LetterGift.objects.select_related("gift__supporter").get(letter=letter)
    return plan_gift_letter(by, line.gift)


def refuse_open_year(year: int) -> None:
    today = clock.today()
    if not 1990 <= year < today.year:
        raise BadInput(f"{year} is not over yet. The letters of a year are written once it has ended.")


def write_plans(by: Person, plans: Sequence[Plan], batch: LetterBatch | None = None) -> list[Letter]:
    """Number and keep letters, all or none. The books are held by the caller; one line in the trail for all."""
    first = (Letter.objects.aggregate(last=Max("number"))["last"] or 0) + 1
    rows = [_row(by, number, plan, batch) for number, plan in enumerate(plans, start=first)]
    Letter.objects.bulk_create(rows)
    LetterGift.objects.bulk_create(
        LetterGift(
            letter=row,
            gift=gift,
            amount=facts.kept,
            also_in_id=plan.material.predecessors.get(gift.pk),
        )
        for row, plan in zip(rows, plans, strict=True)
        for gift, facts in plan.material.named
    )
    if rows:
        _tell(by, rows)
    return rows


def _row(by: Person, number: int, plan: Plan, batch: LetterBatch | None) -> Letter:
    facts: list[GiftFacts] = plan.material.facts
    money = [gift for gift in facts if not gift.goods]
    return Letter(
        number=number,
        kind=plan.kind,
        year=plan.year,
        supporter=plan.supporter,
        on=clock.today(),
        to_name=plan.supporter.name,
        to_address=plan.supporter.address,
        to_email=plan.supporter.email,
        words=plan.words,
        digest=digest_of(plan.words),
        amount=money_given(money),
        gift_part=gift_parts(money),
        deductible=any(gift.deductible for gift in facts),
        replaces=plan.replaces,
        batch=batch,
        written_by=by,
        written_at=clock.now(),
    )


def digest_of(words: dict[str, Any]) -> str:
    """SHA-256 of the words as canonical JSON."""
    text = json.dumps(words, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def _tell(by: Person, rows: Sequence[Letter]) -> None:
    if len(rows) == 1:
        row = rows[0]
        about = f"the year {row.year}" if row.kind == YEAR else "one gift"
        text = f"Letter {row.number} to {row.supporter.code} about {about}, {row.amount}."
        record(by=by, action="letter.write", subject=f"letter {row.number}", text=text)
        return
    text = f"Letters {rows[0].number} to {rows[-1].number} written for {rows[0].year}."
    record(by=by, action="letter.write", subject=f"letters of {rows[0].year}", text=text)
