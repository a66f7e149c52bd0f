from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from fund import clock
from fund.access.guards import power
from fund.letters import queries
from fund.letters.actions_batch import go_on, start_batch
from fund.letters.models import LetterBatch
from fund.letters.sheet import letters_pdf
from fund.letters.views import _file
from fund.pages import attempt, person_of

BY_SCRIPT = 50  # letters that the page asks for at a time
BY_PRESS = 500  # letters that one press of the button writes where there is no script


@power("gift.names")
def years(request: HttpRequest) -> HttpResponse:
    over = [year for year in queries.years_with_gifts() if year < clock.today().year]
    rows = [queries.year_of_letters(year) for year in over[:10]]
    return render(request, "fund/letters/years.html", {"years": rows})


def _year(year: int) -> queries.Year:
    if not 1990 <= year < clock.today().year:
        raise Http404
    return queries.year_of_letters(year)


@power("gift.names")
def year(request: HttpRequest, year: int) -> HttpResponse:
    return render(request, "fund/letters/year.html", {"row": _year(year)})


@power("letter.write")
@require_POST
def start(request: HttpRequest, year: int) -> HttpResponse:
    attempt(request, None, lambda: start_batch(by=person_of(request), year=year))
    return redirect("letters:year", year)


@power("letter.write")
@require_POST
def step(request: HttpRequest, year: int) -> HttpResponse:
    """Write the next few: a piece of the page for the script that asks again, or the whole page for a press."""
    batch = get_object_or_404(LetterBatch, year=year, pk=request.POST.get("batch") or 0)
    by, by_script = person_of(request), request.headers.get("HX-Request") == "true"
    if by_script:
        go_on(by=by, batch=batch, at_a_time=BY_SCRIPT)
        batch.refresh_from_db()
        return render(request, "fund/letters/progress.html", {"batch": batch, "row": _year(year)})
    go_on(by=by, batch=batch, at_a_time=BY_PRESS)
    return redirect("letters:year", year)


@power("gift.names")
def year_pdf(request: HttpRequest, year: int) -> HttpResponse:
    part = request.GET.get("part", "1")
    first = (int(part) - 1) * queries.IN_ONE_PDF if part.isdecimal() and len(part) < 5 else 0
    letters = list(queries.letters_to_print(year)[max(first, 0) :][: queries.IN_ONE_PDF])
    if not letters:
        raise Http404
    name = f"letters-{year}.pdf" if part == "1" else f"letters-{year}-{part}.pdf"
    return _file(letters_pdf(letters, f"Letters of {year}"), "application/pdf", name)
