"""The answers to the first questions, asked again after the request was taken down."""

from collections.abc import Mapping

from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.refusal import BadInput, NotReady
from fund.trail.actions import record
from jobs.eligibility.ties import refuse_tie
from jobs.intake.models import Application
from jobs.intake.rules import ANSWERS, OPEN_STATES, QUESTIONS


@transaction.atomic
def answer_questions(*, by: Person, application: Application, answers: Mapping[str, str]) -> Application:
    """Write down what the household answers now to the first questions (``rules.QUESTIONS``); those left out stay.

    Decisions already taken keep what they rested on. Refuses an unknown question or answer, a request that is closed,
    and a tie.
    """
    require(by, "intake.enter")
    application = Application.objects.select_for_update().select_related("household").get(pk=application.pk)
    refuse_tie(by, application.household)
    if application.state not in (*OPEN_STATES, "not eligible"):
        raise NotReady(f"{application.code} is “{application.state}”; its answers stay as they were.")
    if not set(answers) <= set(QUESTIONS) or not set(answers.values()) <= {*ANSWERS, ""}:
        raise BadInput("A question or an answer is not one of ours. Take the page again.")
    before = application.answers
    changed = [key for key, answer in answers.items() if before.get(key, "") != answer]
    application.answers = before | dict(answers)
    application.save(update_fields=["answers"])
    text = f"{application.code} of household {application.household.alias}: answered again: {', '.join(changed) or 'as before'}."
    record(by=by, action="application.answers", subject=application.code, text=text)
    return application
