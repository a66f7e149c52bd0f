"""Turns a published record into a cached answer with an ETag, so that a page read a thousand times is made once."""

import hashlib
from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.core.cache import cache
from django.http import HttpRequest, HttpResponse, HttpResponseNotModified
from django.template.loader import render_to_string
from django.utils.cache import get_conditional_response
from django.utils.http import http_date, quote_etag

FRESH = 60  # seconds a browser may use its own copy without asking
KEPT = 24 * 3600


def public_page(
    request: HttpRequest, template: str, key: str, at: datetime | None, data: Callable[[], dict[str, Any]]
) -> HttpResponse:
    """The page for ``key`` (which must change whenever the page would), made by ``data`` only when it is not at hand.

    ``at`` is when what the page shows was published. Nothing of the person asking is in the page.
    """
    place = "page:" + hashlib.sha256(f"{request.path}|{template}|{key}".encode()).hexdigest()
    body: bytes | None = cache.get(place)
    if body is None:
        body = render_to_string(template, {**data(), "request": request}).encode()
        cache.set(place, body, KEPT)
    return answer(request, body, "text/html; charset=utf-8", hashlib.sha256(body).hexdigest(), at)


def answer(
    request: HttpRequest, body: bytes, content_type: str, sha256: str, at: datetime | None
) -> HttpResponse:
    """The bytes, or 304 when the asker has them already."""
    etag = quote_etag(sha256[:32])
    modified = int(at.timestamp()) if at else None
    response = get_conditional_response(request, etag=etag, last_modified=modified)
    if response is None:
        response = HttpResponse(body, content_type=content_type)
    if isinstance(response, HttpResponseNotModified) or response.status_code == 200:
        response["ETag"] = etag
        response["Cache-Control"] = f"public, max-age={FRESH}"
        if modified is not None:
            response["Last-Modified"] = http_date(modified)
    return response
