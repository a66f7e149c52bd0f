"""The owner refuses what makes the vehicle safe: what they read, what they sign, and how it ended."""

from datetime import date

from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.attachments.actions import Upload, store
from fund.pdf import render_pdf
from fund.refusal import AlreadyDone, BadInput, NotReady, TwoPeopleNeeded
from fund.rulebook.queries import rules_on
from fund.trail.actions import record
from jobs.handback.models_proof import RefusalEnd, UnsafeRefusal
from jobs.handback.queries import did_the_work
from jobs.handback.rules_refusal import PARTS, RefusalText, Told, refusal_text, sheet_data, signed_words
from jobs.repairs.lock import hold
from jobs.repairs.models import Finding, RepairOrder
from jobs.repairs.ties import refuse_tied_hand
from jobs.signing.rules import Signature

LONGEST = 300
UNSIGNED = Signature()


def words_to_sign(
    *, repair: RepairOrder, text: str, part: str, language: str = "", on: date | None = None
) -> RefusalText:
    """What the owner reads before they sign; without ``language`` in that of the household. Writes nothing.

    ``text`` is what was found, in the crew's words; ``part`` a key of ``rules_refusal.PARTS``. Refuses either missing.
    """
    on = on or clock.today()
    _check_words(text)
    if part not in PARTS:
        raise BadInput(
            "Say which part of the vehicle it is about, so that the paper can say why it is not safe."
        )
    rules = rules_on(on)
    language = language or repair.household.language
    with translation.override("es" if language == "es" else "en"):
        vehicle = f"{repair.vehicle.year} {gettext(repair.vehicle_class)}"
    told = Told(
        fund=rules["fund_name"], town=rules["town"], number=repair.number, vehicle=vehicle, part=part,
        found=text.strip(), on=on,
    )  # fmt: skip
    return refusal_text(told, language)


def paper_pdf(text: RefusalText) -> bytes:
    """The page to print and sign."""
    return render_pdf("refusal", sheet_data(text.kept))


def signed_pdf(refusal: UnsafeRefusal) -> bytes:
    """The words that were signed on the screen, as they were kept; for the owner's own papers."""
    assert refusal.told is not None
    return render_pdf(
        "refusal", sheet_data(refusal.told, signed_words(refusal.told["language"], refusal.on)), at=refusal.at
    )


@transaction.atomic
def refuse_unsafe(
    *,
    by: Person,
    repair: RepairOrder,
    text: str,
    paper: Upload | None = None,
    finding: Finding | None = None,
    on: date | None = None,
    part: str = "",
    language: str = "",
    signature: Signature = UNSIGNED,
) -> UnsafeRefusal:
    """The owner of the vehicle does not want what makes it safe, was told so, and signed.

    Either ``paper`` is a photo or PDF of the signed sheet, seen afterwards by who may see a household's papers, or
    ``signature`` was given on the screen below the words of ``part`` in ``language``, which are kept as they stood
    there. From then on there is no road test, and no hand-back unless an owner of the fund lets it go
    (``let_go_untested``).
    """
    require(by, "repair.write")
    hold(repair)
    on = on or clock.today()
    if repair.ended:
        raise NotReady(f"{repair.number} is {repair.state} and is no longer written on.")
    _check_words(text)
    if finding is not None and finding.repair_id != repair.pk:
        raise BadInput("This finding belongs to another repair.")
    if signature.wrong:
        raise BadInput(signature.wrong)
    if paper is None and not signature.how:
        raise BadInput("Choose the photo or PDF of the signed paper, or have the owner sign on the screen.")
    told = (
        words_to_sign(repair=repair, text=text, part=part, language=language, on=on).kept
        if signature.how
        else None
    )
    kept = (
        store(by=by, upload=paper, subject=repair.number, power="household.papers", handed_over=True)
        if paper
        else None
    )
    row = UnsafeRefusal.objects.create(
        repair=repair, finding=finding, text=text.strip(), paper=kept, told=told, on=on, taken_by=by, at=clock.now(),
        drawn=signature.drawn or None, signed_by=signature.name.strip(),
    )  # fmt: skip
    record(by=by, action="unsafe.refused", subject=repair.number, text=f"Owner refused, signed: {row.text}")
    return row


def _check_words(text: str) -> None:
    if not text.strip():
        raise BadInput("Write what is unsafe: which part, and what was measured.")
    if len(text.strip()) > LONGEST:
        raise BadInput(
            f"What is unsafe has to fit into {LONGEST} characters. Write the part and the measure."
        )


@transaction.atomic
def owner_agreed(*, by: Person, refusal: UnsafeRefusal, reason: str) -> RefusalEnd:
    """The owner of the vehicle wants the unsafe thing put right after all: the repair goes on as any other."""
    require(by, "repair.write")
    return _end(by, refusal, "agreed", reason)


@transaction.atomic
def let_go_untested(*, by: Person, refusal: UnsafeRefusal, reason: str) -> RefusalEnd:
    """An owner of the fund lets the vehicle go with its other work, not road-tested, after a signed refusal.

    Common practice is to finish nothing else and hand nothing back. Refuses whoever did the work or is tied to the household.
    """
    require(by, "handback.untested")
    refuse_tied_hand(by, refusal.repair, "decides whether it goes back untested")
    if by.pk in did_the_work(refusal.repair):
        raise TwoPeopleNeeded("You did the work, so somebody else decides whether it goes back untested.")
    return _end(by, refusal, "untested", reason)


def _end(by: Person, refusal: UnsafeRefusal, kind: str, reason: str) -> RefusalEnd:
    if not reason.strip():
        raise BadInput("Say why, in a sentence that can be read years later.")
    hold(refusal.repair)
    if RefusalEnd.objects.filter(refusal=refusal).exists():
        raise AlreadyDone("This refusal was already answered.")
    row = RefusalEnd.objects.create(refusal=refusal, kind=kind, reason=reason.strip(), by=by, at=clock.now())
    text = f"{row.get_kind_display()}: {refusal.text}. {row.reason}"
    record(by=by, action=f"unsafe.{kind}", subject=refusal.repair.number, text=text)
    return row
