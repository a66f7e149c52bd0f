from collections.abc import Mapping
from datetime import date

from fund import clock
from fund.rulebook.queries import rule
from jobs.eligibility.rules_facts import months_before
from jobs.intake.models import Application
from jobs.intake.rules import OPTIONAL_CONSENTS


def consents_on(application: Application, on: date | None = None) -> Mapping[str, bool]:
    """What a household agrees to on a day: its ticks, what it took back or gave again since, and what ran out.

    The yes to story and photos lasts for the months of the rule ``consent_months``; the others last with the request.
    """
    on = on or clock.today()
    given = {key: bool(value) for key, value in application.consents.items()}
    since = dict.fromkeys(given, application.submitted_on)
    for change in application.consent_changes.filter(on__lte=on):
        given[change.key], since[change.key] = change.given, change.on
    oldest = months_before(on, rule("consent_months", on))
    for key in OPTIONAL_CONSENTS & set(given):
        given[key] = given[key] and since[key] > oldest
    if "children" in given:  # children can be seen in photos only
        given["children"] = given["children"] and given.get("photos", False)
    return given
