"""A letter on a decision: made from the frozen decision alone, kept word for word when it goes out."""

from fractions import Fraction
from typing import Any

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.pdf import render_pdf
from fund.refusal import NotReady
from fund.rulebook.queries import rules_on
from fund.trail.actions import record
from jobs.eligibility.models import EligibilityDecision
from jobs.eligibility.models_second import Letter
from jobs.eligibility.rules_decision import REASONS
from jobs.eligibility.rules_exceptions import CONDITIONS
from jobs.eligibility.rules_facts import EXCEPTION
from jobs.eligibility.rules_income import show
from jobs.eligibility.rules_letter import LetterText, Told, letter
from jobs.eligibility.ties import refuse_tie


def letter_text(decision: EligibilityDecision, language: str = "") -> LetterText:
    """The letter as it would go out now; without ``language`` in that of the household. Refuses a forgotten file."""
    frozen = decision.snapshot
    if frozen is None:
        raise NotReady(
            "What this decision was made from was destroyed on its day. There is nothing to write from."
        )
    household = decision.application.household
    rules = rules_on(decision.on)
    told = Told(
        code=decision.application.code,
        name=frozen.get("name") or household.applicant_name,
        verdict=decision.verdict,
        on=decision.on,
        reasons=[(code, REASONS.get(code, code)) for code in decision.reasons],
        words=decision.words,
        size=int(frozen["size"]),
        income=show(Fraction(frozen["annual_income"])),
        limit=show(Fraction(frozen["limit"])),
        on_program="program" in decision.reasons,
        conditions=_conditions(frozen),
        until=decision.valid_until,
        fund=rules["fund_name"],
        town=rules["town"],
    )
    return letter(told, language or household.language)


def _conditions(frozen: dict[str, Any]) -> list[tuple[str, str]]:
    rows = frozen.get("rules") or []
    return [
        (row["rule"], CONDITIONS[row["rule"]])
        for row in rows
        if row["outcome"] == EXCEPTION and row["rule"] in CONDITIONS
    ]


def letter_pdf(text: LetterText) -> bytes:
    return render_pdf(
        "letter_to_household",
        {"language": text.language, "title": text.title, "paragraphs": list(text.paragraphs)},
    )


@transaction.atomic
def send_letter(*, by: Person, decision: EligibilityDecision, language: str = "") -> Letter:
    """Keep the letter as it goes out. Sending is by hand: the paper, or the text in the household's own channel."""
    require(by, "household.screen")
    refuse_tie(by, decision.application.household)
    text = letter_text(decision, language)
    row = Letter.objects.create(
        decision=decision, language=text.language, text=text.text, on=clock.today(), by=by
    )
    code = decision.application.code
    record(by=by, action="letter.send", subject=code, text=f"Letter on {code} ({decision.verdict}) goes out.")
    return row
