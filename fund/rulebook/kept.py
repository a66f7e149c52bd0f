"""The dated rules of one page, read once. Kept while a page is read, and only then.

A request that may write (anything but GET and HEAD) reads every rule where it asks for it: what it decides under a lock must
not rest on a rule read before. Within a page the rules are those of one moment, and a rule that is written after all ends
the keeping. Outside a request nothing is kept.
"""

from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models.signals import post_save
from django.http import HttpRequest
from django.http.response import HttpResponseBase

from fund.rulebook.models import DatedRule

Row = tuple[str, date, str]


@dataclass
class _Kept:
    rows: list[Row] | None = None


_kept: ContextVar[_Kept | None] = ContextVar("mendbook_rules_kept", default=None)


def kept_rows() -> list[Row] | None:
    """Name, first day and value of every rule ever set, the earliest first; None where nothing is kept."""
    kept = _kept.get()
    if kept is None:
        return None
    if kept.rows is None:
        found = DatedRule.objects.order_by("valid_from", "id").values_list("name", "valid_from", "value")
        kept.rows = list(found)
    return kept.rows


def keep_rules(
    get_response: Callable[[HttpRequest], HttpResponseBase],
) -> Callable[[HttpRequest], HttpResponseBase]:
    """Middleware: the rules are kept from the beginning of a page that only reads to its end."""

    def middleware(request: HttpRequest) -> HttpResponseBase:
        if request.method not in ("GET", "HEAD"):
            return get_response(request)
        token = _kept.set(_Kept())
        try:
            return get_response(request)
        finally:
            _kept.reset(token)

    return middleware


def _forget(**_: Any) -> None:
    _kept.set(None)


post_save.connect(_forget, sender=DatedRule, dispatch_uid="rules kept")
