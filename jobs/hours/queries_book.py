from collections.abc import Sequence

from fund.rulebook.queries import rule
from jobs.hours.models import HoursEntry
from jobs.hours.models_book import ClockReason
from jobs.hours.queries import hours_of_repair
from jobs.hours.rules_book import Passed, passes
from jobs.repairs.models import RepairOrder

RULE = "clock_factor_tenths"


def reason_of(repair: RepairOrder) -> ClockReason | None:
    """What was said about a repair. One query, none where it was read along."""
    if ClockReason.repair.field.remote_field.is_cached(repair):
        return getattr(repair, "clock_reason", None)
    return ClockReason.objects.filter(repair=repair).select_related("by").first()


def to_explain(repair: RepairOrder, clock: int | None = None, factor: int | None = None) -> Passed | None:
    """Clock and book when the one passed the other and nobody has said why yet, else None. At most three queries.

    ``clock`` and ``factor`` in tenths, where they are known already.
    """
    if not repair.book_hours:
        return None
    worked = hours_of_repair(repair).tenths if clock is None else clock
    passed = Passed(worked, repair.book_hours, rule(RULE) if factor is None else factor)
    if not passes(passed.clock, passed.book, passed.factor) or reason_of(repair):
        return None
    return passed


def just_passed(rows: Sequence[HoursEntry]) -> bool:
    """Whether these new rows of one repair took it past its book, so that it is asked once and not at every entry."""
    repair = rows[0].repair
    passed = to_explain(repair) if repair else None
    if passed is None:
        return False
    before = passed.clock - sum(row.tenths for row in rows)
    return not passes(before, passed.book, passed.factor)
