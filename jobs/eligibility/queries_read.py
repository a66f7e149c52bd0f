"""What stands on the page on which a request is decided, as one short mark that the page carries."""

from dataclasses import replace

from fund import clock
from fund.as_read import mark
from fund.refusal import Refusal
from jobs.eligibility.queries import assess_household, latest_decision
from jobs.eligibility.queries_rules import facts_of, policy_on
from jobs.households.queries import income_facts
from jobs.intake.models import Application
from jobs.intake.queries_same import unread_mergings

CHANGED = "Something about this request changed since you opened this page. Read it again, then decide."


def mark_of(application: Application) -> str:
    """Of the last decision, the people, incomes, papers and answers, and what the rules of today make of them.

    Constant queries. The same for the same content; a table or a rule that came into use meanwhile changes it too.
    """
    household, on = application.household, clock.today()
    before = latest_decision(application)
    told = [
        [row.number, row.relation, row.adult, row.birth_year] for row in household.members.order_by("number")
    ]
    agreed = list(application.exceptions.order_by("pk").values_list("pk", "rule", "agreed"))
    try:
        worked = assess_household(household, on)
        facts = facts_of(application, on, worked, None, None)
        # PostgreSQL gives the keys of JSON back in an order of its own.
        answers, consents = sorted(facts.answers.items()), sorted(facts.consents.items())
        facts = replace(facts, answers=dict(answers), consents=dict(consents))
        rules = repr((worked, facts, policy_on(on)))
    except Refusal as refusal:
        rules = refusal.sentence
    return mark(
        before.pk if before else 0,
        application.state,
        application.complaint,
        repr(told),
        repr(income_facts(household)),
        repr(agreed),
        repr([row.pk for row in unread_mergings(household)]),
        rules,
    )
