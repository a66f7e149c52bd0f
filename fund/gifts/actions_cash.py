"""Cash and checks on their way to the bank: counted by two, banked gross and intact."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require, two_people
from fund.access.models import Person
from fund.commitments.actions import spend
from fund.gifts.hand import refuse_long_ago
from fund.gifts.models import CashCount, Deposit, Gift, GiftReturn
from fund.gifts.queries_counts import shortages_of
from fund.gifts.rules import (
    CASH,
    CHECK,
    DENOMINATIONS,
    GENERAL,
    VOID_COUNT,
    count_entry,
    count_total,
    deposit_entry,
)
from fund.gifts.rules_counts import note_needed, worth_a_look
from fund.gifts.rules_settle import spent_entry
from fund.gifts.rules_watch import APART, SPENT_FIRST
from fund.gifts.watch import flag
from fund.ledger import chart
from fund.ledger.actions import post, reverse
from fund.ledger.lock import hold_books
from fund.ledger.models import CostObject
from fund.money import Money, total
from fund.numbers import next_code
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record

LONGEST_COUNT = 100_000  # pieces of one face value; more is a slip of the finger
SPENT_ACCOUNTS = (chart.SUPPLIES, chart.TOOLS, chart.PARTS)


@dataclass(frozen=True)
class Spent:
    """Cash that was spent before it was counted: on supplies, tools, or a part for a repair (``cost_object``)."""

    amount: Money
    account: str
    words: str
    cost_object: CostObject | None = None


@transaction.atomic
def count_cash(
    *,
    by: Person,
    second: Person,
    on: date,
    place: str,
    denominations: Mapping[int, int],
    receipts: Money | None = None,
    note: str = "",
    spent: Sequence[Spent] = (),
) -> CashCount:
    """Book cash that two people counted together. `denominations`: face value in minor units -> how many.

    `receipts` is the total of the receipt book, when one was kept: it is the gift, and a difference goes to cash
    over and short. `spent` was taken from the cash before: all that came in is the gift, what was bought is a cost, and
    an exception is written. Refuses one person counting alone, an unknown face value, an empty count, a day to come or
    long before the books, a difference without a note. A difference of more than $5.00, or one of several by the same
    two people, is written down for a second look.
    """
    require(by, "gift.count")
    require(second, "gift.count")
    two_people(by, second, "count cash")
    hold_books()
    pieces = {face: many for face, many in denominations.items() if many}
    found = counted(pieces)
    if on > clock.today():
        raise BadInput(f"{on} is after today.")
    refuse_long_ago(on)
    if not place.strip():
        raise BadInput("Say where the cash came from: which jar, box or event.")
    gone = _spent(spent)
    taken = found + gone if receipts is None else receipts
    if taken.minor <= 0:
        raise BadInput("The receipt book shows nothing. Leave it empty if none was kept.")
    if (why := note_needed(found + gone, taken)) and not note.strip():
        raise BadInput(why)
    code = next_code(CashCount, "code", "C-")
    draft = count_entry(on=on, code=code, place=place.strip(), counted=found + gone, receipts=taken)
    entry = post(by=by, draft=draft)
    count = CashCount.objects.create(
        code=code,
        on=on,
        place=place.strip(),
        denominations={str(face): many for face, many in sorted(pieces.items(), reverse=True)},
        counted_by=by,
        second_by=second,
        total=found,
        spent=gone,
        receipts=taken,
        note=note.strip(),
        entry=entry,
    )
    Gift.objects.create(
        code=next_code(Gift, "code", "G-", width=5),
        received_on=on,
        amount=taken,
        kind=CASH,
        purpose_id=GENERAL,
        platform_fee=Money.zero,
        processing_fee=Money.zero,
        count=count,
        entry=entry,
        note=f"Cash count {code}: {place.strip()}"[:300],
    )
    text = f"{by.label} and {second.label} counted {found.dollars} ({place.strip()})."
    record(
        by=by, action="gift.count", subject=code, text=text, data={"entry": entry.number, "second": second.pk}
    )
    for one in spent:
        _book_spent(by, count, one)
    _look_at(by, count)
    return count


def counted(denominations: Mapping[int, int]) -> Money:
    """What so many of each bill and coin are. Refuses an empty count, an unknown face value, and parts of one."""
    pieces = {face: many for face, many in denominations.items() if many}
    if any(face not in DENOMINATIONS for face in pieces) or any(
        not 0 < many <= LONGEST_COUNT for many in pieces.values()
    ):
        raise BadInput("Count each bill and coin in whole pieces, zero or more.")
    if not pieces:
        raise BadInput("The count is empty. Write how many of each bill and coin there are.")
    return count_total(pieces)


def _spent(spent: Sequence[Spent]) -> Money:
    for one in spent:
        if one.amount.minor <= 0 or not one.words.strip() or one.account not in SPENT_ACCOUNTS:
            raise BadInput("Say what was bought from the cash, for how much, and what it was for.")
        if (one.account == chart.PARTS) != (one.cost_object is not None):
            raise BadInput("A part bought from the cash, and only a part, names the repair it was for.")
    return total(one.amount for one in spent)


def _book_spent(by: Person, count: CashCount, one: Spent) -> None:
    repair = one.cost_object.code if one.cost_object else None
    draft = spent_entry(
        on=count.on,
        code=count.code,
        amount=one.amount,
        account=one.account,
        cost_object=repair,
        words=one.words.strip(),
    )
    entry = post(by=by, draft=draft)
    if repair:
        spend(by=by, cost_object=repair, amount=one.amount, entry=entry)
    text = f"{count.code}: {one.amount.dollars} spent before it was banked: {one.words.strip()}"
    flag(by=by, kind=SPENT_FIRST, text=text, count=count)


def _look_at(by: Person, count: CashCount) -> None:
    apart = count.total + count.spent - count.receipts
    before = shortages_of(count) if apart.minor < 0 else 0
    if worth_a_look(apart, before):
        again = f" Short {before} times before by the same two people within a year." if before else ""
        text = f"{count.code}: count and receipt book are {apart} apart. {count.note}{again}"
        flag(by=by, kind=APART, text=text, count=count)


@transaction.atomic
def void_count(*, by: Person, count: CashCount, reason: str) -> CashCount:
    """A count was wrong (counted twice, written for the wrong jar): undo its entry and keep its number and its sheet.

    Refuses a count that was banked, one with money spent from it, one void before, no reason.
    """
    require(by, "gift.bank")
    hold_books()
    count = CashCount.objects.select_related("entry", "gift", "deposit").get(pk=count.pk)
    if count.deposit:
        raise AlreadyDone(f"{count.code} was banked with {count.deposit.code}, so it cannot be void.")
    if count.void_on or count.spent:
        raise NotReady(f"{count.code} is void already or money was spent from it. Nothing was posted.")
    if not reason.strip():
        raise BadInput("Say in a few words what was wrong with the count.")
    entry = reverse(by=by, entry=count.entry, reason=reason)
    if hasattr(count, "gift"):  # cash for scrap is none
        GiftReturn.objects.create(
            kind=VOID_COUNT, gift=count.gift, on=clock.today(), amount=count.receipts, fee=Money.zero,
            purpose_id=GENERAL, entry=entry, reason=reason.strip(),
        )  # fmt: skip
    count.void_on, count.void_why = clock.today(), reason.strip()
    count.save(update_fields=["void_on", "void_why"])
    record(
        by=by, action="gift.count_void", subject=count.code, text=f"{count.code} is void. {reason.strip()}"
    )
    return count


@transaction.atomic
def bank_deposit(
    *,
    by: Person,
    on: date,
    counts: Sequence[CashCount] = (),
    gifts: Sequence[Gift] = (),
    note: str = "",
) -> Deposit:
    """Take counted cash and checks to the bank: the deposit is the sum of what is named, to the cent.

    Refuses an empty deposit, anything banked before, anything received after the day of the deposit, and a gift
    that is neither a check nor cash.
    """
    require(by, "gift.bank")
    hold_books()
    counts = list(CashCount.objects.filter(pk__in=[count.pk for count in counts]))
    gifts = list(Gift.objects.filter(pk__in=[gift.pk for gift in gifts]))
    if not counts and not gifts:
        raise BadInput("Choose the counts and checks that go to the bank.")
    if on > clock.today():
        raise BadInput(f"{on} is after today.")
    for count in counts:
        if count.void_on:
            raise AlreadyDone(f"{count.code} is void. Nothing was posted.")
        _bankable(count.code, count.deposit, count.on, on)
    for gift in gifts:
        if gift.kind not in (CASH, CHECK) or gift.count_id:
            raise BadInput(
                f"{gift.code} is neither a check nor cash with a receipt, so it is not banked here."
            )
        if gift.returns.exists():
            raise AlreadyDone(f"{gift.code} went back to its giver. Nothing was posted.")
        _bankable(gift.code, gift.deposit, gift.arrived_on or gift.received_on, on)
    by_purpose: dict[str, Money] = {}
    for purpose, amount in [(GENERAL, c.total) for c in counts] + [(g.purpose_id, g.amount) for g in gifts]:
        by_purpose[purpose] = by_purpose.get(purpose, Money.zero) + amount
    code = next_code(Deposit, "code", "D-")
    entry = post(by=by, draft=deposit_entry(on=on, code=code, by_purpose=by_purpose))
    amount = total(by_purpose.values())
    deposit = Deposit.objects.create(code=code, on=on, total=amount, note=note.strip(), entry=entry)
    CashCount.objects.filter(pk__in=[count.pk for count in counts]).update(deposit=deposit)
    Gift.objects.filter(pk__in=[gift.pk for gift in gifts]).update(deposit=deposit)
    text = f"{amount.dollars} banked: {len(counts)} counts, {len(gifts)} checks or receipts."
    record(by=by, action="gift.bank", subject=code, text=text, data={"entry": entry.number})
    return deposit


def _bankable(code: str, deposit: Deposit | None, received: date, on: date) -> None:
    if deposit is not None:
        raise AlreadyDone(f"{code} was banked on {deposit.on} with {deposit.code}. Nothing was posted.")
    if received > on:
        raise BadInput(f"{code} came in on {received}, after the deposit of {on}.")
