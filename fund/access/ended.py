"""A sign-in that ended while somebody was typing: what they sent is kept by their own browser until they are back."""

from typing import Any

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fund.access.models import Person

COOKIE = "crew"  # names, signed, who of the crew signed in on this browser last
REMEMBERED = 30 * 24 * 3600  # seconds
KEPT_FOR = 3600  # seconds that what was typed may wait for its sender
SALT = "fund.access.ended"
LEFT_OUT = ("csrfmiddlewaretoken",)


def remember(response: HttpResponse, person: Person) -> None:
    """So that an ended sign-in can be told from a stranger, whom every page of the crew answers with 404."""
    response.set_signed_cookie(
        COOKIE,
        str(person.pk),
        salt=SALT,
        max_age=REMEMBERED,
        httponly=True,
        secure=settings.HTTPS,
        samesite="Lax",
    )


def keep_typed(request: HttpRequest) -> HttpResponse | None:
    """The page that asks to sign in again and holds all that was sent; None for a stranger or where nothing was.

    What is held is signed, so that only what this program received goes back into a form of its own. Passwords, and
    all that is typed about sign-ins, are left out; files cannot be held and are named.
    """
    who = request.get_signed_cookie(COOKIE, None, salt=SALT, max_age=REMEMBERED)
    if who is None or request.method != "POST" or request.headers.get("HX-Request"):
        return None
    own = request.resolver_match is not None and request.resolver_match.app_name == "access"
    pairs = [
        (name, value)
        for name, values in request.POST.lists()
        for value in values
        if not own and name not in LEFT_OUT and "password" not in name
    ]
    kept = signing.dumps({"who": who, "path": request.path, "pairs": pairs}, salt=SALT, compress=True)
    files = [file.name for _, many in request.FILES.lists() for file in many]
    return render(
        request, "fund/access/ended.html", {"kept": kept, "next": request.path, "files": files}, status=403
    )


def typed_before(kept: str, person: Person) -> dict[str, Any] | None:
    """``path`` and ``pairs`` of what ``person`` sent before their sign-in ended.

    None when it is somebody else's, older than an hour, or not ours.
    """
    try:
        held: dict[str, Any] = signing.loads(kept, salt=SALT, max_age=KEPT_FOR)
    except signing.BadSignature:
        return None
    return held if held["pairs"] and held["who"] == str(person.pk) else None
