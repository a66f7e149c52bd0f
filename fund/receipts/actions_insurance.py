"""What an insurer agrees to pay for: damage in the shop, or what the crew broke."""

from datetime import date

from django.db import transaction

from fund.access.models import Person
from fund.commitments.actions import give_back
from fund.ledger.actions import post
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.numbers import next_code
from fund.receipts.actions_returns import returnable
from fund.receipts.homes import HOMES
from fund.receipts.in_cost import in_cost
from fund.receipts.models import ReceiptPortion, Supplier
from fund.receipts.models_returns import Claim, PartReturn
from fund.receipts.rules_returns import ACCOUNT_OF_CLAIM
from fund.refusal import BadInput
from fund.trail.actions import record

INSURED = ("admin", "mishap")


@transaction.atomic
def claim_insurance(
    *, by: Person, portion: ReceiptPortion, amount: Money, insurer: str, on: date, reason: str
) -> Claim:
    """The insurer has agreed to pay ``amount`` of a loss: it owes that, and the loss is smaller by it.

    For what was booked as admin (a vehicle damaged in the shop) or as the crew's own error. An agreement is a claim; a
    loss only reported is not, and is not booked. Refuses more than the loss less what was claimed before, an empty
    insurer or reason, and any other kind of cost.
    """
    portion = returnable(by, portion, on, reason)
    name = " ".join(insurer.split())[:60]
    if not name:
        raise BadInput("Say which insurer agreed to pay.")
    if portion.home not in INSURED:
        raise BadInput(
            "An insurer pays for damage booked as insurance and admin, or as an error of the crew."
        )
    left = in_cost(portion).cost
    if not Money.zero < amount <= left:
        raise BadInput(f"An insurer pays more than 0.00 and at most what the loss still is, {left}.")
    payer = Supplier.objects.filter(name__iexact=name).first() or Supplier.objects.create(name=name)
    receipt, repair, claimed = portion.line.receipt, portion.cost_object_id, ACCOUNT_OF_CLAIM["insurance"]
    words = f"{payer} pays for {portion.line.text}"
    lines = [
        dr(claimed, amount, party=payer.name, cost_object=repair, text=words),
        cr(HOMES[portion.home].account, amount, cost_object=repair, text=words),
    ]
    code = next_code(Claim, "code", "B-")
    entry = post(by=by, draft=EntryDraft("insurance claim", on, words, lines, code))
    if repair:
        give_back(
            by=by,
            cost_object=repair,
            amount=amount,
            entry=entry,
            reason=reason.strip()[:300],
            of=receipt.entry,
        )
    claim = Claim.objects.create(
        code=code, kind="insurance", store=payer, receipt=receipt, text=portion.line.text, account=claimed,
        amount=amount, cost_object=portion.cost_object, on=on, entry=entry, opened_by=by, note=reason.strip()[:200],
    )  # fmt: skip
    PartReturn.objects.create(
        portion=portion, to="insurer", quantity=0, amount=amount, reason=reason.strip()[:200], on=on, entry=entry,
        claim=claim, by=by,
    )  # fmt: skip
    record(
        by=by,
        action="claim.insurance",
        subject=receipt.code,
        text=f"{code}: {words}, {amount}. {reason.strip()}",
    )
    return claim
