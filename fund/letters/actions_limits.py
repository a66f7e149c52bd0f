from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.letters.models import TokenLimit
from fund.letters.rules import limits_wrong
from fund.money import Money
from fund.refusal import BadInput
from fund.trail.actions import record


@transaction.atomic
def add_token_limit(
    *,
    by: Person,
    year: int,
    low_cost: Money,
    floor: Money,
    cap: Money,
    procedure: str,
    source: str,
    seen: str = "read",
) -> TokenLimit:
    """Write down a year's figures for small benefits; the newest of a year count, letters keep what they used.

    Refuses figures that do not stand as 1 to 5 to 10, and figures without a source.
    """
    require(by, "rules.change")
    if why := limits_wrong(low_cost, floor, cap):
        raise BadInput(why)
    if not procedure.strip() or not source.strip():
        raise BadInput("Say in which revenue procedure the figures stand and where you read it.")
    if seen not in dict(TokenLimit.SEEN):
        raise BadInput("Say whether you read the figures, or had them from others, or from memory.")
    row = TokenLimit.objects.create(
        year=year,
        low_cost=low_cost,
        floor=floor,
        cap=cap,
        procedure=procedure.strip(),
        source=source.strip(),
        seen=seen,
    )
    text = f"Small benefits {year}: {low_cost}, {floor}, {cap} ({row.procedure})."
    record(by=by, action="letter.limits", subject=f"small benefits {year}", text=text)
    return row
