"""One clock for all actions. Read it once per action; tests and the demo set it."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, date, datetime, time

from django.utils import timezone

_set: ContextVar[datetime | None] = ContextVar("mendbook_clock", default=None)


def now() -> datetime:
    """The present moment, aware, in UTC."""
    return _set.get() or datetime.now(UTC)


def today() -> date:
    """The present day where the fund lives (setting TIME_ZONE)."""
    return timezone.localtime(now()).date()


def day_of(moment: datetime) -> date:
    """The day a stored moment (aware, UTC) belongs to where the fund lives: an evening is not the next day yet."""
    return timezone.localtime(moment).date()


@contextmanager
def at(moment: datetime | date) -> Iterator[None]:
    """Hold the clock at a moment; a plain date means noon of that day where the fund lives."""
    if not isinstance(moment, datetime):
        moment = timezone.make_aware(datetime.combine(moment, time(12)))
    token = _set.set(moment.astimezone(UTC))
    try:
        yield
    finally:
        _set.reset(token)
