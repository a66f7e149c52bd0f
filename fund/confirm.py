"""Forms whose action cannot be undone: a page between that says in sentences what will happen."""

from collections.abc import Callable
from typing import Any, TypeVar

from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fund.pages import attempt, form_page
from fund.sent.once import sent_before

T = TypeVar("T")


def confirmed_form(
    request: HttpRequest,
    form: BaseForm,
    act: Callable[[dict[str, Any]], T],
    *,
    ask: Callable[[dict[str, Any]], tuple[str, list[str], str]],
    template: str,
    then: Callable[[T], str],
    done: Callable[[T], str] | None = None,
    context: dict[str, Any] | None = None,
) -> HttpResponse:
    """Like :func:`fund.pages.form_page`, with a page between the form and the action.

    ``ask`` gets the cleaned data and gives the question, what will happen line by line, and the words on the button;
    it may refuse as the action would. What was typed goes along hidden, and comes back if the person wants to
    change it or the action refuses.
    """
    answer = request.POST.get("confirm")
    if answer == "no":
        return render(request, template, {"form": form, **(context or {})})
    if again := sent_before(request, form):
        return again
    if form.is_bound and form.is_valid() and answer != "yes":
        cleaned: dict[str, Any] = form.cleaned_data
        asked = attempt(request, form, lambda: ask(cleaned))
        if asked is not None:
            question, consequences, yes = asked
            for field in form.fields.values():
                field.widget = field.hidden_widget()
            words = {"form": form, "question": question, "consequences": consequences, "yes": yes}
            return render(request, "partials/confirm_page.html", {**(context or {}), **words})
    return form_page(request, form, act, template=template, then=then, done=done, context=context)
