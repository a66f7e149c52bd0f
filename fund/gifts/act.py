"""Pages of one action: a form with words around it, the action, and back to where it was asked from."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse

from fund.confirm import confirmed_form
from fund.pages import form_page

T = TypeVar("T")
TEMPLATE = "fund/gifts/act.html"


@dataclass(frozen=True, slots=True)
class Page:
    """The words of such a page. ``back`` is an address, ``back_words`` what stands there."""

    title: str
    submit: str
    back: str
    back_words: str
    under: str = ""
    note: str = ""
    caution: str = ""

    @property
    def context(self) -> dict[str, Any]:
        return {name: getattr(self, name) for name in self.__slots__}


def act_page(
    request: HttpRequest,
    form: BaseForm,
    act: Callable[[dict[str, Any]], T],
    page: Page,
    *,
    done: Callable[[T], str],
    then: Callable[[T], str] | None = None,
    ask: Callable[[dict[str, Any]], tuple[str, list[str], str]] | None = None,
) -> HttpResponse:
    """Show the form, try the action, go on to ``then`` (unless told, back). ``ask`` puts a page with what will happen
    before an action that cannot be undone; see :func:`fund.confirm.confirmed_form`."""
    go = then or (lambda _: page.back)
    if ask is None:
        return form_page(request, form, act, template=TEMPLATE, then=go, done=done, context=page.context)
    return confirmed_form(
        request, form, act, ask=ask, template=TEMPLATE, then=go, done=done, context=page.context
    )
