"""Helps that keep views thin: trying an action with a form, and the rooms shown along the top of every page."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from django.contrib import messages
from django.forms import BaseForm
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from fund.access.models import Person
from fund.refusal import NotAllowed, Refusal
from fund.sent.once import once, sent_before

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Room:
    """A tab. ``doors`` are (power, address) pairs, the first one allowed is used; an empty power means anyone.

    ``prefixes`` are the addresses that belong to the room; one that ends with ``$`` stands for that page alone.
    """

    label: str
    doors: tuple[tuple[str, str], ...]
    prefixes: tuple[str, ...]

    def door(self, can: Mapping[str, bool]) -> str:
        return next((url for power, url in self.doors if not power or can.get(power.replace(".", "_"))), "")

    @staticmethod
    def holds(path: str, prefix: str) -> bool:
        return path == prefix[:-1] if prefix.endswith("$") else path.startswith(prefix)


CREW_ROOMS = (
    Room("Today", (("today.see", "/crew/"),), ("/crew/$",)),
    Room(
        "Gifts",
        (("gift.see", "/crew/gifts/"), ("gift.count", "/crew/gifts/counts/")),
        ("/crew/gifts/", "/crew/letters/"),
    ),
    Room("Receipts", (("receipt.see", "/crew/receipts/"),), ("/crew/receipts/", "/crew/repay/")),
    Room("Bank", (("bank.see", "/crew/bank/"),), ("/crew/bank/",)),
    Room(
        "Households",
        (("household.screen", "/crew/households/"), ("intake.enter", "/crew/intake/")),
        ("/crew/households/", "/crew/intake/"),
    ),
    Room(
        "Repairs", (("repair.see", "/crew/repairs/"),), ("/crew/repairs/", "/crew/vehicles/", "/crew/hours/")
    ),
    Room("Shelf & cores", (("shelf.issue", "/crew/shelf/"),), ("/crew/shelf/",)),
    Room("Months", (("month.see", "/crew/months/"),), ("/crew/months/",)),
    Room(
        "Books",
        (("books.see", "/crew/books/"),),
        ("/crew/books/", "/crew/trail/", "/crew/rules/", "/crew/people/"),
    ),
)
PUBLIC_ROOMS = (
    Room("Latest month", (("", "/"),), ("/$",)),
    Room("All months", (("", "/months/"),), ("/months/",)),
    Room("Ask for help", (("", "/ask-for-help/"),), ("/ask-for-help/",)),
    Room("How it works", (("", "/how-it-works/"),), ("/how-it-works/",)),
)


def person_of(request: HttpRequest) -> Person:
    """The crew member who asks. A stranger gets 404, as everywhere under /crew/."""
    if not isinstance(request.user, Person):
        raise Http404
    return request.user


def attempt(request: HttpRequest, form: BaseForm | None, fn: Callable[[], T]) -> T | None:
    """Call an action; on a refusal put its sentence on the form (or, without a form, above the page) and return None.

    The action has rolled back by then, and the form still holds all that was typed. ``NotAllowed`` goes on to the
    guard, which answers 403. ``fn`` must return something other than None.
    """
    try:
        return fn()
    except NotAllowed:
        raise
    except Refusal as refusal:
        if form is None:
            messages.error(request, " ".join([refusal.sentence, *refusal.details]))
        else:
            form.add_error(None, refusal.sentence)
            form.refusal_details = refusal.details  # type: ignore[attr-defined]
        return None


def form_page(
    request: HttpRequest,
    form: BaseForm,
    act: Callable[[dict[str, Any]], T],
    *,
    template: str,
    then: Callable[[T], str],
    done: Callable[[T], str] | None = None,
    context: dict[str, Any] | None = None,
) -> HttpResponse:
    """The whole life of a plain form: show it, try the action with its cleaned data, go on.

    ``form`` is bound to ``request.POST`` by the caller when the request is a POST (:func:`posted` gives the pair).
    ``then`` gives the address to go to, ``done`` the sentence shown there. A form with something wrong in it comes
    back with status 422 and everything still in it. A ``OnceForm`` sent again leads to what it made the first time.
    """
    if again := sent_before(request, form):
        return again
    if form.is_bound and form.is_valid():
        cleaned: dict[str, Any] = form.cleaned_data
        words = done or (lambda _: "")
        led = attempt(request, form, lambda: once(request, form, lambda: act(cleaned), then, words))
        if led is not None:
            if led.words:
                messages.success(request, led.words)
            return redirect(led.address)
    return render(request, template, {"form": form, **(context or {})}, status=422 if form.errors else 200)


def posted(request: HttpRequest) -> dict[str, Any]:
    """``data`` and ``files`` for a form: those of a POST, else nothing, which leaves the form unbound."""
    if request.method != "POST":
        return {}
    return {"data": request.POST, "files": request.FILES}
