"""Pages for anyone. Each reads one published row and shows what stands in it."""

import json
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import translation
from django.views.decorators.http import require_safe

from reports.month.models import PublishedMonth
from reports.month.rules_page import page_of
from reports.public import queries
from reports.public.pages import answer, public_page
from reports.public.rules import VERIFY_PROGRAM

SVG_POLICY = {"default-src": ["'none'"], "style-src": ["'unsafe-inline'"]}


def _month(request: HttpRequest, published: PublishedMonth) -> HttpResponse:
    def data() -> dict[str, Any]:
        page = page_of(json.loads(published.record), published.digest)
        return {"page": page, "root": f"/months/{published.month}/", "fund_name": page["fund_name"]}

    return public_page(request, "reports/public/month.html", published.digest, published.published_at, data)


@require_safe
def latest(request: HttpRequest) -> HttpResponse:
    published = queries.latest()
    if published is None:
        return public_page(
            request, "reports/public/empty.html", "", None, lambda: {"fund_name": "Repair fund"}
        )
    return _month(request, published)


@require_safe
def month(request: HttpRequest, key: str) -> HttpResponse:
    published = queries.month_named(key)
    if published is None:
        raise Http404
    return _month(request, published)


@require_safe
def months(request: HttpRequest) -> HttpResponse:
    rows = queries.all_months()
    if not rows:
        return public_page(
            request, "reports/public/empty.html", "", None, lambda: {"fund_name": "Repair fund"}
        )

    def data() -> dict[str, Any]:
        records = [json.loads(row.record) for row in rows]
        return {"records": records, "fund_name": records[0]["rules"]["fund_name"]}

    key = "".join(row.digest for row in rows)
    return public_page(request, "reports/public/months.html", key, rows[0].published_at, data)


def _from_latest(request: HttpRequest, template: str) -> HttpResponse:
    """A page that speaks of the fund's rules as the latest record has them."""
    published = queries.latest()

    def data() -> dict[str, Any]:
        record = json.loads(published.record) if published else None
        name = record["rules"]["fund_name"] if record else "Repair fund"
        return {
            "record": record,
            "rules": record["rules"] if record else None,
            "fund_name": name,
            "program": VERIFY_PROGRAM,
        }

    at = published.published_at if published else None
    return public_page(request, template, published.digest if published else "", at, data)


@require_safe
def how_it_works(request: HttpRequest) -> HttpResponse:
    return _from_latest(request, "reports/public/how_it_works.html")


@require_safe
def ask_for_help(request: HttpRequest, language: str) -> HttpResponse:
    with translation.override(language):
        return _from_latest(request, "reports/public/ask_for_help.html")


@require_safe
def verify(request: HttpRequest) -> HttpResponse:
    return _from_latest(request, "reports/public/verify.html")


@require_safe
def month_file(request: HttpRequest, key: str, name: str) -> HttpResponse:
    file = queries.file_named(key, name)
    if file is None:
        raise Http404
    response = answer(request, file.content, file.content_type, file.sha256, file.published_at)
    if file.content_type == "image/svg+xml":
        # A drawing holds its own styles and nothing that runs.
        response._csp_replace = SVG_POLICY  # type: ignore[attr-defined]
    if name == "record.json":
        response["Content-Disposition"] = f'inline; filename="{key}.json"'
    return response
