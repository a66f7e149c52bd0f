"""What every page of the book needs: its title, the tabs along its top, and small helps for fields and tables."""

import re
from dataclasses import dataclass
from typing import Any

from django import template
from django.forms import BoundField, CheckboxInput
from django.http import HttpRequest
from django.template import Context
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from fund.codes import address_of
from fund.pages import CREW_ROOMS, PUBLIC_ROOMS, Room
from fund.rulebook.queries import rule

register = template.Library()


@dataclass(frozen=True, slots=True)
class Tab:
    """``current`` is "page" on the page itself, "true" elsewhere in the room, else empty (words of aria-current)."""

    label: str
    url: str
    current: str


@dataclass(frozen=True, slots=True)
class Tabs:
    items: list[Tab]

    @property
    def here(self) -> str:
        """The label of the room one is in, or nothing."""
        return next((tab.label for tab in self.items if tab.current), "")

    def __bool__(self) -> bool:
        return bool(self.items)


@register.simple_tag(takes_context=True)
def fund_name(context: Context) -> str:
    """The fund's name: from the page's own data if it brings one (public pages do), else the rule of today, once a page."""
    if context.get("fund_name"):
        return str(context["fund_name"])
    request = context.get("request")
    name = getattr(request, "fund_name", None)
    if name is None:
        name = str(rule("fund_name"))
        if request is not None:
            request.fund_name = name
    return name


@register.simple_tag(takes_context=True)
def crew_tabs(context: Context) -> Tabs:
    """The rooms this person may enter; a room is shown if they hold one of its powers."""
    can: dict[str, bool] = context.get("can") or {}
    return _tabs(CREW_ROOMS, context.get("request"), can)


@register.simple_tag(takes_context=True)
def public_tabs(context: Context) -> Tabs:
    return _tabs(PUBLIC_ROOMS, context.get("request"), {})


def _tabs(rooms: tuple[Room, ...], request: HttpRequest | None, can: dict[str, bool]) -> Tabs:
    path = request.path if request else ""
    doors = [(room, door) for room in rooms if (door := room.door(can))]
    best = max(
        (len(prefix) for room, _ in doors for prefix in room.prefixes if room.holds(path, prefix)), default=0
    )
    tabs = []
    for room, door in doors:
        inside = any(room.holds(path, prefix) and len(prefix) == best for prefix in room.prefixes)
        tabs.append(Tab(room.label, door, ("page" if path == door else "true") if inside else ""))
    return Tabs(tabs)


@register.simple_tag(takes_context=True)
def tab(context: Context, label: str, url_name: str, power: str = "", *args: Any) -> SafeString | str:
    """One entry of a room's second row of tabs: ``{% tab "Trial balance" "ledger:trial-balance" "books.see" %}``.

    Left out if ``power`` is named and the person lacks it.
    """
    can: dict[str, bool] = context.get("can") or {}
    if power and not can.get(power.replace(".", "_")):
        return ""
    url = reverse(url_name, args=args)
    path = context["request"].path
    inside = path.startswith(url) and url.count("/") > len(("crew", "room", ""))
    word = "page" if path == url else "true" if inside else ""
    current = format_html(' aria-current="{}"', word) if word else ""
    return format_html('<li><a href="{}"{}>{}</a></li>', url, current, label)


@register.filter
def is_check(field: BoundField) -> bool:
    """A single box to tick, which stands before its label."""
    return isinstance(field.field.widget, CheckboxInput)


@register.filter
def cell_class(column: Any) -> str:
    """The class of a table's column: money, number, or nothing."""
    return str(getattr(column.column, "css", ""))


@register.filter
def sort_word(column: Any) -> str:
    """The word of aria-sort for a column the table is ordered by."""
    return "descending" if column.order_by_alias.is_descending else "ascending"


# A tag, or what stands in one that shows its text as it is; else a code of the books such as RO-0021 or R-00007.
_TAG_OR_CODE = re.compile(
    r"(<(option|textarea|title|script)\b.*?</\2\s*>|<[^>]*>)|(?<![\w-])([A-Z]{1,2}-\d{3,6})(?![\w-])",
    re.DOTALL,
)


@register.filter(is_safe=True)
def whole_codes(html: str) -> SafeString:
    """Markup in which no code breaks at its hyphen. Takes rendered markup, as a ``filter`` block gives it."""
    kept = _TAG_OR_CODE.sub(lambda hit: hit[1] or f'<span class="keep">{hit[3]}</span>', html)
    return mark_safe(kept)  # only spans around codes are added to what was escaped already


@register.filter
def code_link(text: str) -> SafeString | str:
    """A code or entry number as a link to what it names; anything else as it is."""
    address = address_of(text or "")
    return format_html('<a class="keep" href="{}">{}</a>', address, text) if address else text
