from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.ledger.lock import hold_books
from fund.ledger.queries import first_open_day
from fund.refusal import BadInput, MonthClosed
from fund.rulebook.models import DatedRule
from fund.rulebook.rules import RULES
from fund.trail.actions import record


@transaction.atomic
def set_rule(*, by: Person, name: str, value: str, valid_from: date, reason: str) -> DatedRule:
    """Give a rule a value from a day on. Decisions already taken keep the value they used.

    Refuses a value of the wrong kind, an empty reason, and a day in a month that is closed: what was told of it followed
    the rule as it stood.
    """
    require(by, "rules.change")
    spec = RULES.get(name)
    if spec is None:
        raise BadInput(f"There is no rule called “{name}”.")
    spec.read(value)
    value = value.strip() or spec.empty
    if not reason.strip():
        raise BadInput("Say in a few words why the rule changes.")
    hold_books()
    if valid_from < (open_day := first_open_day()):
        raise MonthClosed(
            f"{valid_from} lies in a closed month, which was told by the rules as they stood. Let the rule change on"
            f" {open_day} or later."
        )
    row = DatedRule.objects.create(
        name=name,
        value=value,
        valid_from=valid_from,
        set_by=by,
        set_at=clock.now(),
        reason=reason.strip(),
    )
    text = f"{spec.words}: {value} from {valid_from}. {reason.strip()}"
    record(
        by=by,
        action="rules.change",
        subject=name,
        text=text,
        data={"value": value, "valid_from": str(valid_from)},
    )
    return row
