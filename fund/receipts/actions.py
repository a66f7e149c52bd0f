from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.attachments.models import Attachment
from fund.commitments.actions import spend
from fund.gifts.actions_given import keep_gift_of_crew, supporter_of_crew
from fund.ledger.actions import post
from fund.ledger.lock import hold_books
from fund.ledger.models import CostObject, Entry
from fund.ledger.rules import EntryDraft
from fund.money import Money
from fund.numbers import next_code
from fund.receipts.fingerprint import changed_meanwhile, fingerprint, refuse_unseen
from fund.receipts.gates import pass_gates, pass_uses
from fund.receipts.models import Receipt, ReceiptLine, ReceiptPortion, Supplier
from fund.receipts.opening import open_cores_and_lots
from fund.receipts.queries import shares_of
from fund.receipts.refusals import (
    refuse_empty_purse,
    refuse_out_of_time,
    refuse_second_copy,
    refuse_unfinished,
    refuse_without_paper,
)
from fund.receipts.rules import (
    ReceiptInput,
    cost_by_repair,
    extra_shares,
    portions_of,
    posting,
    tax_shares,
    verify,
)
from fund.receipts.rules_look_rows import serial_of
from fund.refusal import AlreadyDone, BadInput
from fund.trail.actions import record


@transaction.atomic
def save_draft(
    *,
    by: Person,
    data: ReceiptInput,
    receipt: Receipt | None = None,
    photo: Attachment | None = None,
    seen: str | None = None,
) -> Receipt:
    """Keep a receipt as read off the paper, new or again; nothing is booked. ``photo`` None keeps the one there.

    ``seen`` is the ``fingerprint`` of the draft as the person saw it; what somebody saved meanwhile is not written over.

    The sums need not tie yet. Refuses what no receipt can be (``rules.verify``), a repair that does not exist, and a
    receipt that is posted.
    """
    require(by, "receipt.enter")
    verify(data, clock.today())
    _know_repairs(data)
    if receipt is None:
        hold_books()
        code = next_code(Receipt, "code", "R-", width=5)
        receipt = Receipt(code=code, entered_by=by, entered_at=clock.now())
    else:
        receipt = _held(receipt)
        if receipt.state != "draft":
            raise AlreadyDone(
                f"{receipt.code} is in the books and stays as it is. Take it back and enter it anew."
            )
    before = fingerprint(receipt) if receipt.pk and seen is not None else seen
    receipt.supplier = _supplier(data.store)
    receipt.number, receipt.on, receipt.at_time = data.number.strip(), data.on, data.at_time
    receipt.series, receipt.serial = serial_of(data.number)
    receipt.total, receipt.tax, receipt.tender, receipt.buyer = data.total, data.tax, data.tender, data.buyer
    receipt.card_last4, receipt.note = data.card_last4, data.note.strip()
    receipt.duplicate_reason, receipt.late_reason = data.duplicate_reason.strip(), data.late_reason.strip()
    receipt.freight, receipt.discount, receipt.witness = data.freight, data.discount, data.witness
    receipt.credit_used = data.credit_used
    receipt.missing, receipt.missing_how = data.missing, data.missing_how.strip()[:300]
    _pin(receipt, photo)
    receipt.save()
    _write_lines(receipt, data)
    # The same page sent twice finds its own content there and changes nothing.
    if seen != before != fingerprint(receipt):
        raise changed_meanwhile(receipt)
    text = f"{receipt.code}: {receipt.supplier} of {receipt.on}, {receipt.total}, draft."
    record(
        by=by, action="receipt.draft", subject=receipt.code, text=text, data={"total": receipt.total.minor}
    )
    return receipt


def _pin(receipt: Receipt, photo: Attachment | None) -> None:
    if photo is None or photo == receipt.photo:
        return
    receipt.photo = photo
    if photo.subject != receipt.code:
        photo.subject = receipt.code
        photo.save(update_fields=["subject"])


@transaction.atomic
def add_photo(*, by: Person, receipt: Receipt, photo: Attachment) -> Receipt:
    """Put a photo to a receipt that has none yet, posted or not. Refuses to replace the one that is there."""
    require(by, "receipt.enter")
    receipt = _held(receipt)
    if receipt.photo is not None:
        raise AlreadyDone(f"{receipt.code} has a photo already, {receipt.photo.code}.")
    _pin(receipt, photo)
    receipt.save(update_fields=["photo"])
    text = f"{photo.code} put to {receipt.code}."
    record(by=by, action="receipt.photo", subject=receipt.code, text=text)
    return receipt


def _know_repairs(data: ReceiptInput) -> None:
    named = {portion.cost_object for line in data.lines for portion in line.portions if portion.cost_object}
    known = set(CostObject.objects.filter(code__in=named).values_list("code", flat=True))
    if missing := sorted(named - known):
        raise BadInput(f"There is no repair order {missing[0]}. Choose one from the list.")


def _held(receipt: Receipt) -> Receipt:
    """The receipt as it is now, while nobody else can post or change one."""
    hold_books()
    return Receipt.objects.get(pk=receipt.pk)


def _supplier(name: str) -> Supplier:
    words = " ".join(name.split())[:60]
    return Supplier.objects.filter(name__iexact=words).first() or Supplier.objects.create(name=words)


def _write_lines(receipt: Receipt, data: ReceiptInput) -> None:
    """The lines with their tax and portions. Without a taxable line the tax waits: posting will ask for it."""
    taxed = any(line.taxable and line.amount for line in data.lines)
    amounts, taxable = [line.amount for line in data.lines], [line.taxable for line in data.lines]
    shares = tax_shares(amounts, taxable, data.tax if taxed else Money.zero)
    extras = extra_shares(data.lines, data.freight, data.discount) if data.lines else []
    receipt.lines.all().delete()
    for ordinal, (line, share, extra) in enumerate(zip(data.lines, shares, extras, strict=True), start=1):
        row = ReceiptLine.objects.create(
            receipt=receipt,
            ordinal=ordinal,
            text=line.text.strip()[:80],
            quantity=line.quantity,
            unit=line.unit,
            amount=line.amount,
            taxable=line.taxable,
            tax_share=share,
            extra_share=extra,
            condition=line.condition,
        )
        ReceiptPortion.objects.bulk_create(
            ReceiptPortion(
                line=row,
                home=part.home,
                cost_object_id=part.cost_object or None,
                quantity=part.quantity,
                amount=part.amount,
            )
            for part in portions_of(line, share + extra)
        )


@transaction.atomic
def drop_draft(*, by: Person, receipt: Receipt, reason: str) -> str:
    """Throw a draft away (its photo stays kept); returns its code. Refuses a posted receipt and an empty reason."""
    require(by, "receipt.enter")
    receipt = _held(receipt)
    if receipt.state != "draft":
        raise AlreadyDone(f"{receipt.code} is in the books and cannot be thrown away.")
    if not reason.strip():
        raise BadInput("Say in a few words why the draft is thrown away.")
    text = f"{receipt.code} ({receipt.supplier}, {receipt.on}, {receipt.total}) thrown away: {reason.strip()}"
    receipt.delete()
    record(by=by, action="receipt.drop", subject=receipt.code, text=text)
    return receipt.code


def _gift_of_buyer(by: Person, receipt: Receipt, entry: Entry, amount: Money) -> None:
    """What the buyer wants no money for is a gift of goods, which a letter describes without its value."""
    goods = "; ".join(receipt.lines.values_list("text", flat=True))
    supporter = supporter_of_crew(by, receipt.buyer)
    keep_gift_of_crew(by=by, supporter=supporter, amount=amount, on=receipt.on, entry=entry, goods=goods)


@transaction.atomic
def post_receipt(*, by: Person, receipt: Receipt, seen: str | None = None) -> Receipt:
    """Book a receipt whole: one entry, its costs against what was promised, its cores and its lots.

    The document date is the receipt's. Refuses, and leaves the draft as it was: lines + tax that are not the total
    (with a guess at why); what may be another receipt once more (``papers_like``), unless a reason is given; a cost
    above what was approved for a repair and its tolerance; more petty cash or store credit than there is; a buyer who is
    tied to the household of a repair or has not answered whether there is a tie (``gates``); and what ``refusals`` holds
    against a lost, a late or a handwritten paper and against one for a repair that has ended.
    ``seen`` is the ``fingerprint`` of the draft that stood on the page; one that was changed since is read again first.
    """
    require(by, "receipt.enter")
    receipt = _held(receipt)
    if receipt.state != "draft":
        raise AlreadyDone(f"{receipt.code} was posted before. Nothing was posted again.")
    refuse_unseen(receipt, seen)
    lines = list(receipt.lines.all())
    refuse_unfinished(receipt, lines)
    refuse_second_copy(receipt)
    refuse_without_paper(by, receipt, lines)
    shares = shares_of(receipt)
    refuse_out_of_time(by, receipt, shares)
    pass_gates((by, receipt.buyer), [code for code in cost_by_repair(shares) if code])
    pass_uses((share.cost_object, share.home) for share in shares if share.cost_object)
    drafts, owed = posting(
        receipt.tender, receipt.buyer.username, receipt.supplier.name, shares, receipt.credit_used
    )
    if owed < Money.zero:
        raise BadInput(
            f"The store credit of {receipt.credit_used} is more than the fund's part of {receipt.code}."
        )
    refuse_empty_purse(receipt, owed)
    if not (owed or receipt.credit_used):
        raise BadInput(f"Everything on {receipt.code} is personal, so there is nothing for the fund to book.")
    number = f" no. {receipt.number}" if receipt.number else ""
    text = f"{receipt.supplier}{number}, bought by {receipt.buyer.label}"
    entry = post(by=by, draft=EntryDraft("receipt", receipt.on, text, drafts, receipt.code))
    for cost_object, amount in cost_by_repair(shares).items():
        if amount:
            spend(by=by, cost_object=cost_object, amount=amount, entry=entry)
    open_cores_and_lots(receipt, entry)
    if receipt.tender == "given":
        _gift_of_buyer(by, receipt, entry, owed)
    receipt.state, receipt.entry, receipt.owed = "posted", entry, owed
    receipt.approved_by = by if receipt.missing else None
    receipt.save(update_fields=["state", "entry", "owed", "approved_by"])
    told = f"{receipt.code}: {receipt.total} at {receipt.supplier} posted as entry {entry.number}."
    record(by=by, action="receipt.post", subject=receipt.code, text=told, data={"entry": entry.number})
    return receipt
