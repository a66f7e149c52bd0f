"""The checks at the door: for actions (``require``), for pages (``power``), for duties that need two people."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse

from fund.access.ended import keep_typed
from fund.access.models import Person
from fund.access.powers import no_power_sentence, roles_with
from fund.refusal import NotAllowed, TwoPeopleNeeded

View = Callable[..., HttpResponseBase]


def roles_of(person: Person | AnonymousUser) -> frozenset[str]:
    """The roles a person holds; read once per person object. An inactive person holds none."""
    if not isinstance(person, Person) or not person.is_active:
        return frozenset()
    cached: frozenset[str] | None = getattr(person, "_roles", None)
    if cached is None:
        cached = frozenset(person.groups.values_list("name", flat=True))
        person._roles = cached  # type: ignore[attr-defined]
    return cached


def may(person: Person | AnonymousUser, power: str) -> bool:
    return not roles_of(person).isdisjoint(roles_with(power))


def require(person: Person | AnonymousUser, power: str) -> None:
    """Refuse with the names of the roles that have the power."""
    if not may(person, power):
        raise NotAllowed(no_power_sentence(power))


def two_people(first: Person, second: Person, duty: str) -> None:
    """Refuse when one person would do both halves of a duty."""
    if first.pk == second.pk:
        raise TwoPeopleNeeded(f"It takes two different people to {duty}. Ask someone else of the crew.")


def forbidden(request: HttpRequest, sentence: str) -> HttpResponse:
    return render(request, "403.html", {"sentence": sentence}, status=403)


def _own_password_first(request: HttpRequest) -> HttpResponse | None:
    """The way to the page that changes the password, while somebody else knows it."""
    own = reverse("access:own")
    if not getattr(request.user, "first_password", False) or request.path == own:
        return None
    return redirect(own)


def power(*names: str) -> Callable[[View], View]:
    """A page for those who hold at least one of the powers. Strangers get 404, crew without it 403. What is sent after
    a sign-in has ended comes back to its sender (see ended.py).

    Someone who still signs in with a first password is sent to change it, whatever they asked for.
    """

    def decorate(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not roles_of(request.user):
                if (again := keep_typed(request)) is not None:
                    return again
                raise Http404
            if (own := _own_password_first(request)) is not None:
                return own
            if not any(may(request.user, name) for name in names):
                return forbidden(request, no_power_sentence(names[0]))
            try:
                return view(request, *args, **kwargs)
            except NotAllowed as refusal:
                return forbidden(request, refusal.sentence)

        guarded.powers = names  # type: ignore[attr-defined]
        return guarded

    return decorate
