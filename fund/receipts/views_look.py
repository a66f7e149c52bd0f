"""Receipts that are worth a second look, and what somebody else found."""

from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.urls import reverse

from fund.access.guards import power
from fund.pages import form_page, person_of, posted
from fund.receipts import queries_look
from fund.receipts.actions_look import answer_look
from fund.receipts.forms_look import LookForm
from fund.receipts.models_look import LookAnswer
from fund.receipts.tables_look import LookAnswerFilter, LookAnswerTable, LookFilter, LookTable
from fund.tables import book_list


@power("receipt.second_look")
def looks(request: HttpRequest) -> HttpResponseBase:
    found = queries_look.open_looks()
    page = "fund/receipts/looks.html"
    return book_list(request, LookTable, found, LookFilter, page, filename="second-look")


@power("receipt.second_look")
def answers(request: HttpRequest) -> HttpResponseBase:
    page = "fund/receipts/look_answers.html"
    return book_list(
        request,
        LookAnswerTable,
        queries_look.answers(),
        LookAnswerFilter,
        page,
        filename="second-look-answered",
    )


@power("receipt.second_look")
def look(request: HttpRequest, key: str) -> HttpResponse:
    answer = queries_look.answers().filter(key=key).first()
    if answer is not None:
        return render(
            request, "fund/receipts/look_answer.html", {"answer": answer, "codes": answer.codes.split()}
        )
    found = queries_look.look_for(key)
    if found is None:
        raise Http404
    earlier = list(queries_look.answers_about(found.codes, found.kind)[:5])

    def write(cleaned: dict[str, str]) -> LookAnswer:
        return answer_look(by=person_of(request), key=key, words=cleaned["words"])

    return form_page(
        request,
        LookForm(**posted(request)),
        write,
        template="fund/receipts/look.html",
        then=lambda _: reverse("receipts:looks"),
        done=lambda _: "Written down. It stays under Answered.",
        context={"look": found, "mine": person_of(request).pk in found.people, "earlier": earlier},
    )
