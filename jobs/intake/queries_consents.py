"""What a household agrees to as it stands, for its own page and the crew's."""

from dataclasses import dataclass

from jobs.households.queries_consent import consents_on
from jobs.intake.models import Application
from jobs.intake.rules import CONSENTS, OPTIONAL_CONSENTS


@dataclass(frozen=True)
class Consent:
    """``given``: as it stands today; ``ticked``: as it was on the request, before any change or running out."""

    key: str
    words: str
    given: bool
    ticked: bool
    optional: bool


def consent_lines(application: Application) -> list[Consent]:
    now = consents_on(application)
    return [
        Consent(
            key, words, now.get(key, False), bool(application.consents.get(key)), key in OPTIONAL_CONSENTS
        )
        for key, words in CONSENTS.items()
    ]
