"""Gifts that a crew member makes out of a claim on the fund. Their rooms book the entry; here the gift is written down,
so that it has a letter like any other."""

from datetime import date

from fund.access.models import Person
from fund.gifts.models import Gift, Supporter
from fund.gifts.models_crew import CrewSupporter
from fund.gifts.rules import CLAIM, GENERAL, GIFT_KINDS, GOODS
from fund.ledger.models import Entry
from fund.money import Money
from fund.numbers import next_code
from fund.trail.actions import record


def supporter_of_crew(by: Person, person: Person) -> Supporter:
    """The supporter that a crew member is; written down the first time they give. Call inside a transaction."""
    known = CrewSupporter.objects.filter(person=person).select_related("supporter__merged_into").first()
    if known:
        return known.supporter.merged_into or known.supporter
    code = next_code(Supporter, "code", "S-")
    supporter = Supporter.objects.create(
        code=code, name=person.label, email=person.email.lower(), note="member of the crew"
    )
    CrewSupporter.objects.create(person=person, supporter=supporter)
    record(by=by, action="supporter.add", subject=code, text=f"New supporter {code}, a member of the crew.")
    return supporter


def keep_gift_of_crew(
    *,
    by: Person,
    supporter: Supporter,
    amount: Money,
    on: date,
    entry: Entry,
    goods: str = "",
    note: str = "",
) -> Gift:
    """Write down a gift whose entry is booked: a claim given up, or ``goods`` (described) never to be repaid."""
    kind = GOODS if goods else CLAIM
    gift = Gift.objects.create(
        code=next_code(Gift, "code", "G-", width=5),
        supporter=supporter,
        received_on=on,
        amount=amount,
        kind=kind,
        purpose_id=GENERAL,
        platform_fee=Money.zero,
        processing_fee=Money.zero,
        entry=entry,
        note=(goods or note)[:300],
    )
    text = f"{gift.code}: {amount.dollars} by {GIFT_KINDS[kind]} from {supporter.code}."
    record(by=by, action="gift.record", subject=gift.code, text=text, data={"entry": entry.number})
    return gift
