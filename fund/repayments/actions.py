from collections.abc import Sequence
from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.ledger.actions import post
from fund.ledger.chart import ADVANCES, BANK, DUE_FROM_CREW, OWED_CREW
from fund.ledger.lock import hold_books
from fund.ledger.rules import EntryDraft, LineDraft, cr, dr
from fund.money import Money, total
from fund.numbers import next_code
from fund.receipts.models import Receipt
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.repayments.gate import require_in_bank
from fund.repayments.hands import require_preparer, require_releaser
from fund.repayments.models import Mileage, Repayment, RepaymentItem
from fund.repayments.queries import OpenClaim, advance_of, due_from, open_claims
from fund.repayments.rules import set_against, unseen_refusal
from fund.trail.actions import record


def chosen_claims(person: Person, receipts: Sequence[Receipt], mileage: Sequence[Mileage]) -> list[OpenClaim]:
    """The person's open claims among these, oldest first. Refuses none, one that is not theirs or not open."""
    open_by_code = {claim.code: claim for claim in open_claims(person)}
    rows: list[Receipt | Mileage] = [*receipts, *mileage]
    wanted = {row.code for row in rows}
    if not wanted:
        raise BadInput("Choose the receipts to pay back.")
    for row in rows:
        if row.code not in open_by_code:
            raise _not_open(row, person)
    return [claim for code, claim in open_by_code.items() if code in wanted]


def _not_open(row: Receipt | Mileage, person: Person) -> AlreadyDone | BadInput:
    item = (
        RepaymentItem.objects.filter(**{"receipt" if isinstance(row, Receipt) else "mileage": row.pk})
        .select_related("repayment")
        .first()
    )
    if item:
        return AlreadyDone(f"{row.code} is in repayment {item.repayment.code} already.")
    if isinstance(row, Mileage):
        return BadInput(f"{row.code} is not miles that {person.label} drove and that stand.")
    return BadInput(f"{row.code} is not a posted receipt paid with {person.label}'s own money.")


@transaction.atomic
def prepare_repayment(
    *,
    by: Person,
    person: Person,
    receipts: Sequence[Receipt],
    on: date,
    mileage: Sequence[Mileage] = (),
    way: str = "transfer",
    check_number: str = "",
    keep: bool = False,
    papers_seen: bool = False,
) -> Repayment:
    """Set named claims of one person for payment; ``on`` is the day the money is to go out. Nothing is booked yet.

    ``keep`` sets what the person owes the fund, and the advance they hold, against the payment. Refuses one's own claims, a
    claim that is not the person's, not posted, or in a repayment before, and a check without a number. A receipt without a
    photo is refused too, unless it was approved as lost, or ``papers_seen``: the one who prepares has looked at the paper.
    A treasurer prepares; for the only treasurer an owner does.
    """
    require_preparer(by, person)
    hold_books()
    claims = chosen_claims(person, receipts, mileage)
    if on < max(claim.on for claim in claims):
        raise BadInput(f"{on} is before the day of the newest receipt.")
    if way not in ("transfer", "check") or (way == "check") != bool(check_number.strip()):
        raise BadInput(
            "Say whether it goes by bank transfer or by check; a check, and only a check, has a number."
        )
    if not papers_seen and (why := unseen_refusal([claim.code for claim in claims if claim.unseen])):
        raise NotReady(why)
    owed = total(claim.amount for claim in claims)
    due, advance = (due_from(person), advance_of(person)) if keep else (Money.zero, Money.zero)
    kept_due, kept_advance = set_against(owed, due, advance)
    repayment = Repayment.objects.create(
        code=next_code(Repayment, "code", "P-"),
        person=person,
        amount=owed,
        kept_due=kept_due,
        kept_advance=kept_advance,
        way=way,
        check_number=check_number.strip(),
        on=on,
        prepared_by=by,
        prepared_at=clock.now(),
    )
    name_claims(repayment, claims)
    codes = ", ".join(claim.code for claim in claims)
    text = f"{repayment.code}: {repayment.paid} to {person.label} for {codes}, prepared."
    record(by=by, action="repay.prepare", subject=repayment.code, text=text)
    return repayment


def name_claims(repayment: Repayment, claims: Sequence[OpenClaim]) -> None:
    """Write the claims into a repayment, with what their rows must say."""
    RepaymentItem.objects.bulk_create(
        RepaymentItem(
            repayment=repayment,
            code=claim.code,
            receipt=claim.receipt,
            mileage=claim.mileage,
            amount=claim.amount,
            flag="; ".join(filter(None, [claim.flag, "paper seen, no photo" if claim.unseen else ""])),
        )
        for claim in claims
    )


@transaction.atomic
def release_repayment(*, by: Person, repayment: Repayment, on: date | None = None) -> Repayment:
    """Pay a prepared repayment out of the bank; ``on`` (default the prepared day) is the day of the payment.

    Refuses the claimant, the person who prepared it, one that is not waiting, a day still to come, and more than the bank
    has for general use. An owner releases; where no other owner is free to, the accountant does.
    """
    hold_books()
    repayment = Repayment.objects.select_related("person", "prepared_by").get(pk=repayment.pk)
    require_releaser(by, repayment.person, repayment.prepared_by)
    if repayment.state != "prepared":
        raise AlreadyDone(
            f"{repayment.code} is {repayment.get_state_display()} already. Nothing was paid again."
        )
    day = on or repayment.on
    if day > clock.today():
        raise BadInput(f"{repayment.code} is set for {day}, which is still to come.")
    _refuse_changed(repayment)
    require_in_bank(repayment.paid)
    codes = ", ".join(repayment.items.values_list("code", flat=True))
    text = f"{repayment.code} to {repayment.person.label} for {codes}"
    entry = post(by=by, draft=EntryDraft("repayment", day, text, payment_lines(repayment), repayment.code))
    repayment.state, repayment.entry, repayment.on = "released", entry, day
    repayment.released_by, repayment.released_at = by, clock.now()
    repayment.save(update_fields=["state", "entry", "on", "released_by", "released_at"])
    told = f"{repayment.code}: {repayment.paid} paid to {repayment.person.label}."
    record(by=by, action="repay.release", subject=repayment.code, text=told, data={"entry": entry.number})
    return repayment


def payment_lines(repayment: Repayment) -> list[LineDraft]:
    """What is owed is cleared; what was kept is set against its accounts, the rest leaves the bank."""
    party = repayment.person.username
    credits_ = (
        (DUE_FROM_CREW, repayment.kept_due, party),
        (ADVANCES, repayment.kept_advance, party),
        (BANK, repayment.paid, ""),
    )
    return [
        dr(OWED_CREW, repayment.amount, party=party),
        *(cr(account, amount, party=whose) for account, amount, whose in credits_ if amount),
    ]


def _refuse_changed(repayment: Repayment) -> None:
    person = repayment.person
    if repayment.kept_due > due_from(person) or repayment.kept_advance > advance_of(person):
        raise NotReady(
            f"What {person.label} owes the fund has changed since {repayment.code} was prepared. Cancel it and prepare it anew."
        )


@transaction.atomic
def cancel_repayment(*, by: Person, repayment: Repayment, reason: str) -> Repayment:
    """Take a prepared repayment back before it is paid; its claims are open again. Refuses an empty reason."""
    require(by, "repay.prepare")
    hold_books()
    repayment = Repayment.objects.get(pk=repayment.pk)
    if repayment.state != "prepared":
        raise AlreadyDone(
            f"{repayment.code} is {repayment.get_state_display()} already and cannot be cancelled."
        )
    if not reason.strip():
        raise BadInput("Say in a few words why it is cancelled.")
    codes = let_go(repayment)
    repayment.state, repayment.note = "cancelled", reason.strip()[:200]
    repayment.save(update_fields=["state", "note"])
    text = f"{repayment.code} cancelled, {codes} open again: {reason.strip()}"
    record(by=by, action="repay.cancel", subject=repayment.code, text=text)
    return repayment


def let_go(repayment: Repayment) -> str:
    """Open the claims of a repayment again; their codes stay in it. Returns the codes."""
    codes = ", ".join(repayment.items.values_list("code", flat=True))
    repayment.items.update(receipt=None, mileage=None)
    return codes
