"""What must hold before the fund's money is sent off or a box is counted."""

from datetime import date

from django.db.models import Max, Sum

from fund import clock
from fund.access.models import Person
from fund.ledger.chart import BANK, GENERAL, PETTY_CASH
from fund.ledger.models import Line
from fund.ledger.queries import balance, first_possible_day
from fund.money import Money
from fund.refusal import BadInput, NotEnoughMoney, NotReady
from fund.repayments.models import PettyCashCount


def refuse_day(on: date) -> None:
    """Refuse a day still to come, and one long before these books begin."""
    if on > clock.today():
        raise BadInput(f"{on} is still to come.")
    earliest = first_possible_day()
    if on < earliest:
        raise BadInput(
            f"{on} is before {earliest}, the first day that these books take. Look at the year once more."
        )


def require_owed(account: str, person: Person, amount: Money, on: date) -> None:
    """Refuse that a person brought back more by a day than they had of the fund then (minor units)."""
    lines = Line.objects.filter(account=account, party=person.username, entry__isnull=False)
    had = lines.filter(document_date__lte=on).aggregate(sum=Sum("amount"))["sum"] or Money.zero
    if amount > had:
        raise BadInput(
            f"On {on} {person.label} had {max(had, Money.zero)} of the fund's to bring back, not {amount}. Look at the day "
            "once more."
        )


def require_in_bank(amount: Money) -> None:
    """Refuse to let more leave the bank account than the books hold in it for general use (minor units).

    Restricted money lies in the same account and may pay for what its giver named, never for a float or an advance.
    """
    held = balance(BANK, purpose=GENERAL)
    if amount > held:
        raise NotEnoughMoney(
            f"The bank account holds {held} for general use; {amount} cannot leave it. Look at the amount once more, or "
            "wait until more has come in."
        )


def require_last_move(on: date) -> None:
    """Refuse a count of petty cash dated before the box last moved or was counted: it could be compared with nothing."""
    moved = Line.objects.filter(account=PETTY_CASH, entry__isnull=False).aggregate(last=Max("document_date"))
    counted = PettyCashCount.objects.aggregate(last=Max("on"))
    last = max(filter(None, [moved["last"], counted["last"]]), default=None)
    if last is not None and on < last:
        raise NotReady(
            f"Petty cash moved or was counted on {last} already, so a count of {on} can be compared with nothing. "
            "Count the box anew, with the day on which you count."
        )
