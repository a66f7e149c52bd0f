from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from fund.access.guards import power
from fund.pages import form_page, person_of, posted
from jobs.intake.actions_answers import answer_questions
from jobs.intake.forms_parts import QuestionsPart, box_name
from jobs.intake.models import Application


@power("intake.enter")
def questions(request: HttpRequest, code: str) -> HttpResponse:
    """The first questions with the answers so far, to be asked again."""
    found = get_object_or_404(Application.objects.select_related("household"), code=code)
    start = {box_name("ask", key): answer for key, answer in found.answers.items()}
    form = QuestionsPart(initial=start, **posted(request))
    return form_page(
        request,
        form,
        lambda _: answer_questions(by=person_of(request), application=found, answers=form.answers()),
        template="jobs/intake/questions.html",
        then=lambda _: reverse("intake:request", args=[code]),
        done=lambda _: "The answers are written down.",
        context={"application": found},
    )
