from collections.abc import Sequence
from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require, two_people
from fund.access.models import Person
from fund.ledger.actions import post
from fund.ledger.chart import BANK, BILLS
from fund.ledger.lock import hold_books
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money, total
from fund.receipts.models import BillPayment, Receipt, Supplier
from fund.receipts.queries_returns import bill_left
from fund.refusal import AlreadyDone, BadInput
from fund.trail.actions import record


@transaction.atomic
def pay_supplier_bill(
    *, by: Person, supplier: Supplier, receipts: Sequence[Receipt], amount: Money, on: date
) -> BillPayment:
    """Pay named bills of one supplier, each whole but for refunds set against it, out of the bank. ``amount`` is sent.

    Refuses an amount that is not the sum of the bills (find the missing paper before paying), a bill paid before, one
    of another supplier, and the person who entered or bought it: who buys does not pay.
    """
    require(by, "bill.pay")
    hold_books()
    rows = list(
        Receipt.objects.filter(pk__in=[row.pk for row in receipts]).select_related("entered_by", "buyer")
    )
    if not rows:
        raise BadInput("Choose the bills to pay.")
    for row in rows:
        if row.supplier_id != supplier.pk or row.tender != "supplier_bill" or row.state != "posted":
            raise BadInput(f"{row.code} is no open bill of {supplier}.")
        if row.bill_payment_id:
            raise AlreadyDone(f"{row.code} was paid before. Nothing was paid again.")
        two_people(by, row.entered_by, f"enter and pay the bill {row.code}")
        two_people(by, row.buyer, f"buy and pay {row.code}")
    if not max(row.on for row in rows) <= on <= clock.today():
        raise BadInput(f"{on} is before the bill was made or still to come.")
    owed = total(bill_left(row) for row in rows)
    if amount != owed:
        raise BadInput(
            f"The chosen bills add up to {owed}, not {amount}: {abs(amount - owed)} apart."
            " Find the missing paper first, or pay what the papers say."
        )
    codes = ", ".join(row.code for row in rows)
    text = f"{supplier}: {codes} paid"
    lines = [dr(BILLS, amount, party=supplier.name, text=codes), cr(BANK, amount, text=codes)]
    entry = post(by=by, draft=EntryDraft("bill payment", on, text, lines, rows[0].code))
    payment = BillPayment.objects.create(supplier=supplier, amount=amount, on=on, entry=entry, paid_by=by)
    Receipt.objects.filter(pk__in=[row.pk for row in rows]).update(bill_payment=payment)
    told = f"{amount} to {supplier} for {codes}."
    record(by=by, action="bill.pay", subject=supplier.name, text=told, data={"entry": entry.number})
    return payment
