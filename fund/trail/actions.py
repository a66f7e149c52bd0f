from typing import Any

from fund import clock
from fund.access.models import Person
from fund.trail.models import TrailLine


def record(
    *, by: Person | None, action: str, subject: str, text: str, data: dict[str, Any] | None = None
) -> TrailLine:
    """Write one line of the trail, inside the transaction of the action it tells of.

    ``by`` is None only for the program itself (loading its tables). Names of household members never go in here.
    """
    if len(text) > 400:
        text = text[:399] + "…"
    return TrailLine.objects.create(
        at=clock.now(), by=by, action=action, subject=subject, text=text, data=data or {}
    )
