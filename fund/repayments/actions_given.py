from collections.abc import Sequence
from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.actions_given import keep_gift_of_crew, supporter_of_crew
from fund.ledger.actions import post
from fund.ledger.chart import GIFTS, OWED_CREW
from fund.ledger.lock import hold_books
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import total
from fund.numbers import next_code
from fund.receipts.models import Receipt
from fund.refusal import BadInput
from fund.repayments.actions import chosen_claims, name_claims
from fund.repayments.models import Mileage, Repayment
from fund.trail.actions import record


@transaction.atomic
def give_back(
    *, by: Person, receipts: Sequence[Receipt], signed: str, on: date, mileage: Sequence[Mileage] = ()
) -> Repayment:
    """A crew member gives the fund what it owes them for named claims: they could have been paid, so it is a gift of money.

    Only the member does this, and signs by typing their own name. Refuses another name, a claim that is not open, and a
    day still to come or before the claims.
    """
    require(by, "receipt.enter")
    hold_books()
    claims = chosen_claims(by, receipts, mileage)
    if " ".join(signed.split()).casefold() != by.label.casefold():
        raise BadInput(f"Sign with your own name, {by.label}.")
    if not max(claim.on for claim in claims) <= on <= clock.today():
        raise BadInput(f"{on} is before the newest receipt or still to come.")
    amount = total(claim.amount for claim in claims)
    supporter, code = supporter_of_crew(by, by), next_code(Repayment, "code", "P-")
    codes = ", ".join(claim.code for claim in claims)
    text = f"{code}: {by.label} gives back what is owed for {codes}"
    lines = [dr(OWED_CREW, amount, party=by.username), cr(GIFTS, amount, party=supporter.code)]
    entry = post(by=by, draft=EntryDraft("given back", on, text[:200], lines, code))
    row = Repayment.objects.create(
        code=code,
        person=by,
        amount=amount,
        way="gift",
        on=on,
        state="given",
        prepared_by=by,
        prepared_at=clock.now(),
        entry=entry,
        note=f"Signed by {by.label}.",
    )
    name_claims(row, claims)
    keep_gift_of_crew(by=by, supporter=supporter, amount=amount, on=on, entry=entry, note=f"owed for {codes}")
    told = f"{text}, {amount}, signed."
    record(by=by, action="repay.give", subject=code, text=told, data={"entry": entry.number})
    return row
