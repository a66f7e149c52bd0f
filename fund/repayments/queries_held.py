"""What crew members hold or wait for beside their claims: advances, checks not cashed, mileage rates."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, QuerySet

from fund import clock
from fund.access.models import Person
from fund.bank.models import MatchPart
from fund.ledger.chart import BANK
from fund.money import Money
from fund.refusal import NotReady
from fund.repayments.models import Advance, Mileage, MileageRate, Repayment
from fund.repayments.queries import debts_by_party
from fund.repayments.rules import Held, advances_left
from fund.rulebook.queries import rule


@dataclass(frozen=True, slots=True)
class OpenAdvance:
    """An advance with what is left of it; ``over`` is days past the limit, 0 in time."""

    advance: Advance
    left: Money
    days: int
    over: int


def open_advances(person: Person | None = None) -> list[OpenAdvance]:
    """Advances of which something is left, oldest first; receipts and returns clear the oldest first. Two queries."""
    held = {party: left for party, (_, left) in debts_by_party(person).items() if left > Money.zero}
    today = clock.today()
    limit: int = rule("advance_days", today)
    given = Advance.objects.filter(state="given", person__username__in=held).select_related("person")
    rows: dict[str, list[Advance]] = defaultdict(list)
    for advance in given.filter(person=person) if person else given:
        rows[advance.person.username].append(advance)
    found = []
    for username, advances in rows.items():
        advances.sort(key=lambda row: (row.on, row.pk))
        by_code = {advance.code: advance for advance in advances}
        left: list[Held] = advances_left([(a.code, a.on, a.amount) for a in advances], held[username])
        found += [
            OpenAdvance(by_code[one.code], one.left, one.days(today), one.over(today, limit)) for one in left
        ]
    return sorted(found, key=lambda row: (row.advance.on, row.advance.code))


def advances() -> QuerySet[Advance]:
    return Advance.objects.select_related("person", "prepared_by", "released_by")


def seen_by_bank() -> QuerySet[MatchPart]:
    """Lines of the books that the bank has shown, in a match that stands."""
    return MatchPart.objects.filter(book_line__isnull=False, group__undone__isnull=True)


def is_cashed(repayment: Repayment) -> bool:
    lines = seen_by_bank().filter(book_line__entry=repayment.entry_id, book_line__account=BANK)
    return repayment.entry_id is not None and lines.exists()


@dataclass(frozen=True, slots=True)
class Uncashed:
    """A check of the fund that the bank has not shown; ``over`` when it is older than the rule's days."""

    repayment: Repayment
    days: int
    over: bool


def uncashed() -> list[Uncashed]:
    """Checks paid to crew members and not seen at the bank, oldest first."""
    shown = seen_by_bank().filter(book_line__entry=OuterRef("entry"), book_line__account=BANK)
    rows = Repayment.objects.filter(state="released", way="check").exclude(Exists(shown))
    today, most = clock.today(), rule("check_days")
    return [
        Uncashed(row, (today - row.on).days, (today - row.on).days > most)
        for row in rows.select_related("person").order_by("on", "code")
    ]


def mileage_rates() -> QuerySet[MileageRate]:
    return MileageRate.objects.all()


def mileage_rate(on: date) -> MileageRate:
    """The rate of a day. Refuses a day before the first one written down."""
    row = MileageRate.objects.filter(valid_from__lte=on).order_by("-valid_from", "-id").first()
    if row is None:
        raise NotReady(f"There is no mileage rate for {on}. An owner writes one down with its source first.")
    return row


def mileage(person: Person | None = None) -> QuerySet[Mileage]:
    rows = Mileage.objects.select_related("person", "entered_by", "repayment_item__repayment")
    return rows.filter(person=person) if person else rows
