from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Min, Q, QuerySet, Sum

from fund import clock
from fund.access.models import Person
from fund.gifts.queries_open import own_accounts_by_holder
from fund.ledger.chart import ADVANCES, DUE_FROM_CREW, PETTY_CASH
from fund.ledger.models import Line
from fund.ledger.queries import balance
from fund.money import Money, total
from fund.receipts.models import Receipt
from fund.repayments.models import Mileage, PettyCashCount, PettyCashFloat, Repayment
from fund.repayments.rules import expected_on, flag_of
from fund.rulebook.queries import rules_on


@dataclass(frozen=True, slots=True)
class Owed:
    """What the fund owes one crew member, what they owe the fund (``due``) and hold in advance, in minor units.

    ``gifts`` came to their own account and are still to be brought to the bank; only :func:`owed_row` tells them.
    ``receipts`` counts open claims of both kinds.
    """

    person: Person
    amount: Money
    receipts: int
    oldest: date | None
    due: Money
    prepared: Money
    advance: Money = Money.zero
    gifts: Money = Money.zero

    @property
    def days(self) -> int:
        """Age of the oldest unpaid claim."""
        return (clock.today() - self.oldest).days if self.oldest else 0


@dataclass(frozen=True, slots=True)
class OpenClaim:
    """A receipt or miles that wait to be paid back; ``expected`` is the day by which the money can be expected."""

    code: str
    on: date
    what: str
    amount: Money
    days: int
    expected: date
    flag: str
    photo: bool
    receipt: Receipt | None = None
    mileage: Mileage | None = None

    @property
    def unseen(self) -> bool:
        """Whether nobody but the buyer can have seen its paper: no photo, and not approved as lost."""
        return not self.photo and not (self.receipt and self.receipt.missing)


def unpaid(person: Person | None = None) -> QuerySet[Receipt]:
    """Posted receipts paid with somebody's own money and in no repayment, oldest first."""
    rows = Receipt.objects.filter(tender="own_money", state="posted", owed__gt=0, repayment_item__isnull=True)
    rows = rows.filter(buyer=person) if person else rows
    return rows.select_related("supplier", "buyer", "photo").order_by("on", "code")


def unpaid_mileage(person: Person | None = None) -> QuerySet[Mileage]:
    """Miles posted and in no repayment, oldest first."""
    rows = Mileage.objects.filter(state="posted", repayment_item__isnull=True)
    rows = rows.filter(person=person) if person else rows
    return rows.select_related("person").order_by("on", "code")


def open_claims(person: Person) -> list[OpenClaim]:
    """All that waits to be paid back to a person, oldest first."""
    rules, today = rules_on(), clock.today()

    def claim(
        row: Receipt | Mileage, what: str, amount: Money, handed_in: date, *, missing: bool
    ) -> OpenClaim:
        receipt = row if isinstance(row, Receipt) else None
        return OpenClaim(
            code=row.code,
            on=row.on,
            what=what,
            amount=amount,
            days=(today - row.on).days,
            expected=expected_on(handed_in, rules["repay_days"]),
            flag=flag_of(row.on, handed_in, rules["receipts_days"], missing=missing),
            photo=receipt is None or receipt.photo_id is not None,
            receipt=receipt,
            mileage=row if isinstance(row, Mileage) else None,
        )

    found = [
        claim(row, str(row.supplier), row.owed, clock.day_of(row.entered_at), missing=row.missing)
        for row in unpaid(person)
    ]
    found += [
        claim(
            row, f"{row.miles} miles: {row.reason}", row.amount, clock.day_of(row.entered_at), missing=False
        )
        for row in unpaid_mileage(person)
    ]
    return sorted(found, key=lambda one: (one.on, one.code))


def owed_to(person: Person) -> Money:
    """What the fund still has to prepare for a person: posted and in no repayment yet."""
    receipts = unpaid(person).aggregate(sum=Sum("owed"))["sum"] or Money.zero
    return receipts + (unpaid_mileage(person).aggregate(sum=Sum("amount"))["sum"] or Money.zero)


def owed_list() -> list[Owed]:
    """Everyone with money open in either direction, the largest sum first. A constant number of queries."""
    owed: dict[int, tuple[Money, int, date]] = {}
    receipts = (
        unpaid().order_by().values_list("buyer").annotate(sum=Sum("owed"), n=Count("pk"), first=Min("on"))
    )
    miles = (
        unpaid_mileage()
        .order_by()
        .values_list("person")
        .annotate(sum=Sum("amount"), n=Count("pk"), first=Min("on"))
    )
    for key, amount, count, first in [*receipts, *miles]:
        before = owed.get(key, (Money.zero, 0, first))
        owed[key] = (before[0] + amount, before[1] + count, min(before[2], first))
    waiting = (
        Repayment.objects.filter(state="prepared")
        .order_by()
        .values_list("person")
        .annotate(sum=Sum("amount"))
    )
    prepared, debts = dict(waiting), debts_by_party()
    people = Person.objects.filter(Q(pk__in={*owed, *prepared}) | Q(username__in=debts))
    rows = []
    for person in people:
        amount, count, oldest = owed.get(person.pk, (Money.zero, 0, None))
        due, held = debts.get(person.username, (Money.zero, Money.zero))
        rows.append(Owed(person, amount, count, oldest, due, prepared.get(person.pk, Money.zero), held))
    return sorted(rows, key=lambda row: (-row.amount.minor, row.person.username))


def owed_row(person: Person, claims: list[OpenClaim] | None = None) -> Owed:
    """One person's row, also when nothing is open; ``claims`` are theirs if they are at hand already."""
    mine = open_claims(person) if claims is None else claims
    prepared = Repayment.objects.filter(state="prepared", person=person).aggregate(sum=Sum("amount"))["sum"]
    gifts = own_accounts_by_holder(person)
    due, held = debts_by_party(person, gifts).get(person.username, (Money.zero, Money.zero))
    oldest = mine[0].on if mine else None
    amount = total(claim.amount for claim in mine)
    own = gifts.get(person.username, Money.zero)
    return Owed(person, amount, len(mine), oldest, due, prepared or Money.zero, held, own)


def debts_by_party(
    person: Person | None = None, gifts: dict[str, Money] | None = None
) -> dict[str, tuple[Money, Money]]:
    """What each crew member owes the fund and holds in advance, by sign-in name; nobody who owes nothing. Two queries.

    Gifts on somebody's own account (``gifts``, if they are at hand) are no debt of theirs: they come to the bank as gifts.
    """
    lines = Line.objects.filter(account__in=(DUE_FROM_CREW, ADVANCES)).order_by()
    if person:
        lines = lines.filter(party=person.username)
    found: dict[str, tuple[Money, Money]] = {}
    gifts = own_accounts_by_holder(person) if gifts is None else gifts
    for account, party, amount in lines.values_list("account", "party").annotate(sum=Sum("amount")):
        if account == DUE_FROM_CREW:
            amount -= gifts.get(party, Money.zero)
        if amount > Money.zero:
            due, held = found.get(party, (Money.zero, Money.zero))
            found[party] = (due + amount, held) if account == DUE_FROM_CREW else (due, held + amount)
    return found


def _of_party(account: str, person: Person) -> Money:
    lines = Line.objects.filter(account=account, party=person.username)
    return lines.aggregate(sum=Sum("amount"))["sum"] or Money.zero


def due_from(person: Person) -> Money:
    """What a person owes the fund: personal things on its card, a refund on their own card, money paid to them twice.

    Not the gifts that came to their own account, which only ``hand_over`` brings to the bank.
    """
    return _of_party(DUE_FROM_CREW, person) - gifts_with(person)


def gifts_with(person: Person) -> Money:
    """What of gifts is still on a person's own account."""
    return own_accounts_by_holder(person).get(person.username, Money.zero)


def advance_of(person: Person) -> Money:
    """What a person still holds of money given in advance."""
    return _of_party(ADVANCES, person)


def repayments(person: Person | None = None) -> QuerySet[Repayment]:
    rows = Repayment.objects.select_related("person", "prepared_by", "released_by").annotate(n=Count("items"))
    return rows.filter(person=person) if person else rows


def waiting_for_release() -> QuerySet[Repayment]:
    """Prepared and not yet paid, oldest first."""
    return repayments().filter(state="prepared").order_by("prepared_at")


@dataclass(frozen=True, slots=True)
class PettyCash:
    """The float it is brought up to, what the books say is in the box, and the newest counts."""

    float: Money
    held: Money
    counts: list[PettyCashCount]

    @property
    def top_up(self) -> Money:
        return max(self.float - self.held, Money.zero)


def petty_cash() -> PettyCash:
    newest = PettyCashFloat.objects.first()
    counts = PettyCashCount.objects.select_related("counted_by", "seen_by")[:12]
    return PettyCash(newest.amount if newest else Money.zero, balance(PETTY_CASH), list(counts))
