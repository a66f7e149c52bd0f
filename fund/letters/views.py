from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from fund import clock
from fund.access.guards import power
from fund.gifts.models import Gift, Supporter
from fund.letters import queries
from fund.letters.actions import (
    Plan,
    plan_gift_letter,
    plan_year_letter,
    void_letter,
    write_anew,
    write_gift_letter,
    write_year_letter,
)
from fund.letters.actions_limits import add_token_limit
from fund.letters.forms import LimitForm, ReasonForm, WriteForm
from fund.letters.models import Letter, TokenLimit
from fund.letters.sheet import data_of, email_text, letter_data, letter_pdf
from fund.letters.tables import LetterFilter, LetterTable, LimitTable
from fund.pages import attempt, form_page, person_of, posted
from fund.refusal import Refusal
from fund.tables import book_list


@power("gift.names")
def letters(request: HttpRequest) -> HttpResponseBase:
    context = {"withdraw": queries.to_withdraw(), "waiting": queries.waiting()[:12]}
    return book_list(
        request,
        LetterTable,
        queries.letters(),
        LetterFilter,
        "fund/letters/letters.html",
        context,
        filename="letters",
    )


def _letter(number: int) -> Letter:
    found = queries.letter_by_number(number)
    if found is None:
        raise Http404
    return found


@power("gift.names")
def letter(request: HttpRequest, number: int) -> HttpResponse:
    found = _letter(number)
    context = {
        "letter": found,
        "one": data_of(found),
        "lines": queries.lines_of(found),
        "void": getattr(found, "void", None),
        "replaced_by": getattr(found, "replaced_by", None),
        "text": email_text(found),
    }
    return render(request, "fund/letters/letter.html", context)


@power("gift.names")
def pdf(request: HttpRequest, number: int) -> HttpResponse:
    found = _letter(number)
    return _file(letter_pdf(found), "application/pdf", f"letter-{found.number}.pdf")


@power("gift.names")
def text(request: HttpRequest, number: int) -> HttpResponse:
    found = _letter(number)
    return _file(email_text(found).encode(), "text/plain; charset=utf-8", f"letter-{found.number}.txt")


def _file(data: bytes, kind: str, name: str) -> HttpResponse:
    return HttpResponse(
        data, content_type=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'}
    )


def _preview(plan: Plan) -> dict[str, object]:
    to = plan.supporter
    one = letter_data(
        plan.words, name=to.name, address=to.address, on=clock.today(), number="not numbered yet"
    )
    limits = [facts.limits for facts in plan.material.facts if facts.benefit and facts.limits]
    return {
        "one": one,
        "left_out": plan.material.left_out,
        "from_memory": sorted({row.year for row in limits if row.from_memory}),
    }


@power("letter.write")
def write(request: HttpRequest, code: str) -> HttpResponse:
    gift = get_object_or_404(Gift.objects.select_related("supporter"), code=code)
    by, again = person_of(request), bool(request.POST.get("again") or request.GET.get("again"))
    try:
        shown = _preview(plan_gift_letter(by, gift, again=again))
    except Refusal as refusal:
        shown = {"refusal": refusal}
    return form_page(
        request,
        WriteForm(initial={"again": again}, **posted(request)),
        lambda cleaned: write_gift_letter(by=by, gift=gift, **cleaned),
        template="fund/letters/write.html",
        then=lambda made: reverse("letters:letter", args=[made.number]),
        done=lambda made: f"Letter {made.number} is written.",
        context={"gift": gift, "back": reverse("gifts:gift", args=[code]), **shown},
    )


@power("letter.write")
def write_year(request: HttpRequest, code: str, year: int) -> HttpResponse:
    supporter = get_object_or_404(Supporter, code=code)
    by, again = person_of(request), bool(request.POST.get("again") or request.GET.get("again"))
    try:
        shown = _preview(plan_year_letter(by, supporter, year, again=again))
    except Refusal as refusal:
        shown = {"refusal": refusal}
    return form_page(
        request,
        WriteForm(initial={"again": again}, **posted(request)),
        lambda cleaned: write_year_letter(by=by, supporter=supporter, year=year, **cleaned),
        template="fund/letters/write.html",
        then=lambda made: reverse("letters:letter", args=[made.number]),
        done=lambda made: f"Letter {made.number} is written.",
        context={
            "supporter": supporter,
            "year": year,
            "back": reverse("gifts:supporter", args=[code]),
            **shown,
        },
    )


@power("letter.write")
def void(request: HttpRequest, number: int) -> HttpResponse:
    found = _letter(number)
    return form_page(
        request,
        ReasonForm(**posted(request)),
        lambda cleaned: void_letter(by=person_of(request), letter=found, **cleaned),
        template="fund/letters/void.html",
        then=lambda _: reverse("letters:letter", args=[number]),
        done=lambda _: f"Letter {number} is void. It stays as it was written.",
        context={"letter": found},
    )


@power("letter.write")
@require_POST
def anew(request: HttpRequest, number: int) -> HttpResponse:
    found = _letter(number)
    made = attempt(request, None, lambda: write_anew(by=person_of(request), letter=found))
    return redirect("letters:letter", made.number if made else number)


@power("gift.names")
def limits(request: HttpRequest) -> HttpResponseBase:
    rows = TokenLimit.objects.all()
    return book_list(request, LimitTable, rows, None, "fund/letters/limits.html", filename="small-benefits")


@power("rules.change")
def add_limit(request: HttpRequest) -> HttpResponse:
    return form_page(
        request,
        LimitForm(**posted(request)),
        lambda cleaned: add_token_limit(by=person_of(request), **cleaned),
        template="fund/letters/limit_form.html",
        then=lambda _: reverse("letters:limits"),
        done=lambda row: f"The figures of {row.year} are written down.",
    )
