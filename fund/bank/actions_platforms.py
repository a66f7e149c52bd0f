"""What a platform itself says it still holds, typed or read from its own list of movements."""

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.bank.models import PlatformBalance, StatementLayout
from fund.bank.rules import balance_on
from fund.bank.rules_reading import read_statement
from fund.gifts.models import Platform
from fund.ledger.rules import first_day, last_day
from fund.money import Money
from fund.refusal import BadInput, NotReady
from fund.trail.actions import record


@transaction.atomic
def set_platform_balance(
    *,
    by: Person,
    platform: Platform,
    month: str,
    amount: Money,
    origin: str = PlatformBalance.TYPED,
    note: str = "",
) -> PlatformBalance:
    """Note what a platform itself says it still holds at the end of a month; a later note takes the place of an earlier one.

    Refuses a month that is not over.
    """
    require(by, "bank.reconcile")
    first_day(month)
    if last_day(month) >= clock.today():
        raise NotReady(f"{month} is not over yet. Read the platform's balance when it is.")
    if origin not in (PlatformBalance.TYPED, PlatformBalance.IMPORTED):
        raise BadInput("A platform's balance is typed or imported.")
    told = PlatformBalance.objects.create(
        platform=platform,
        month=month,
        amount=amount,
        origin=origin,
        note=note.strip()[:200],
        by=by,
        at=clock.now(),
    )
    text = f"{platform.name} says it held {amount} at the end of {month}."
    record(by=by, action="bank.platform", subject=platform.code, text=text, data={"month": month})
    return told


@transaction.atomic
def import_platform_balance(
    *,
    by: Person,
    platform: Platform,
    month: str,
    data: bytes,
    filename: str,
    layout: StatementLayout | None = None,
) -> PlatformBalance:
    """Read what a platform held at the end of a month from its own list of movements, and note it.

    The list is read as a bank's statement is: a CSV by a layout with a balance column, OFX or camt.053. Refuses a file that
    cannot be read whole, tells no balance, or ends before the month begins.
    """
    require(by, "bank.reconcile")
    sheets = read_statement(data, layout.spec if layout else None)
    if len(sheets) != 1:
        raise BadInput("The file holds several lists. Download the platform's own account alone.")
    end, sheet = last_day(month), sheets[0]
    if sheet.end is not None and sheet.end < first_day(month):
        raise BadInput(f"The file ends on {sheet.end}, before {month} begins. Download a longer period.")
    amount = balance_on(sheet, end)
    if amount is None:
        raise BadInput(
            "The file tells no balance. Choose a layout with a balance column, or type the balance."
        )
    until = max((row.on for row in sheet.rows if row.on <= end), default=end)
    name = filename.replace("\\", "/").rsplit("/", 1)[-1][:100]
    return set_platform_balance(
        by=by,
        platform=platform,
        month=month,
        amount=amount,
        origin=PlatformBalance.IMPORTED,
        note=f"{name}, after its line of {until}",
    )
