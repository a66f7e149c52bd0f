from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.urls import reverse

from fund.access.guards import may, power
from fund.bank.queries_reconciling import latest
from fund.pages import form_page, person_of, posted
from fund.tables import book_list
from reports.charts.rules import month_name
from reports.month.actions import close_month, publish_month, word_repair
from reports.month.bundle import zipped
from reports.month.forms import ConfirmForm, PublishForm, WordingForm
from reports.month.models import PublishedMonth
from reports.month.preview import page_of_published, preview_of
from reports.month.queries import MonthRow, files_of, months
from reports.month.queries_close import close_list
from reports.month.queries_jobs import repair_told
from reports.month.rules_close import CLOSE_MEANS, publish_means, stopping
from reports.month.tables import MonthTable


def _row(key: str) -> MonthRow:
    row = next((row for row in months() if row.key == key), None)
    if row is None:
        raise Http404
    return row


def _published(key: str) -> PublishedMonth:
    published = PublishedMonth.objects.filter(month=key).first()
    if published is None:
        raise Http404
    return published


@power("month.see")
def month_list(request: HttpRequest) -> HttpResponseBase:
    heading = {"heading": "Months"}
    return book_list(
        request,
        MonthTable,
        months(),
        template="reports/month/months.html",
        context=heading,
        filename="months",
    )


@power("month.see")
def month(request: HttpRequest, key: str) -> HttpResponse:
    row = _row(key)
    context = {"row": row, "name": month_name(key), "root": f"/months/{key}/", "reconciled": latest(key)}
    if row.state == "published":
        return render(
            request, "reports/month/published.html", {**context, "page": page_of_published(_published(key))}
        )
    preview = preview_of(key)
    stops = close_list(key)
    more = {
        "page": preview.page,
        "preview": preview,
        "stops": stops,
        "may_close": row.state == "open" and not stopping(stops) and may(request.user, "month.close"),
        "may_publish": row.state == "closed" and may(request.user, "month.publish"),
    }
    return render(request, "reports/month/month.html", {**context, **more})


@power("month.close")
def close(request: HttpRequest, key: str) -> HttpResponse:
    row = _row(key)
    return form_page(
        request,
        ConfirmForm(**posted(request)),
        lambda _: close_month(by=person_of(request), month=key),
        template="reports/month/close.html",
        then=lambda _: reverse("month:month", args=[key]),
        done=lambda _: f"{month_name(key)} is closed. Nothing more can be posted in it.",
        context={"row": row, "name": month_name(key), "stops": close_list(key), "means": CLOSE_MEANS},
    )


@power("month.publish")
def publish(request: HttpRequest, key: str) -> HttpResponse:
    row = _row(key)
    alone = row.closed_by_username == person_of(request).username
    return form_page(
        request,
        PublishForm(**posted(request), alone=alone),
        lambda cleaned: publish_month(by=person_of(request), month=key, **cleaned),
        template="reports/month/publish.html",
        then=lambda _: reverse("month:month", args=[key]),
        done=lambda _: f"{month_name(key)} is published.",
        context={"row": row, "name": month_name(key), "means": publish_means(row.closed_by, alone)},
    )


@power("month.close")
def word(request: HttpRequest, key: str, number: str) -> HttpResponse:
    _row(key)
    told = repair_told(number)
    if told is None:
        raise Http404
    alias, text = told
    return form_page(
        request,
        WordingForm(**posted(request), initial={"text": text}),
        lambda cleaned: word_repair(by=person_of(request), repair=number, **cleaned),
        template="reports/month/word.html",
        then=lambda _: reverse("month:month", args=[key]),
        done=lambda _: f"{alias} is told in these words now.",
        context={"name": month_name(key), "key": key, "alias": alias},
    )


@power("month.see")
def bundle(request: HttpRequest, key: str) -> HttpResponse:
    published = _published(key)
    answer = HttpResponse(zipped(files_of(published), key), content_type="application/zip")
    answer["Content-Disposition"] = f'attachment; filename="{key}.zip"'
    return answer
