"""No order of editing, merging, forgetting nothing and deciding again changes what a decision froze."""

from collections.abc import Callable
from datetime import date

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fund.access.models import Person
from fund.money import Money
from fund.refusal import Refusal
from fund.rulebook.actions import set_rule
from jobs.eligibility.actions import decide, sight
from jobs.eligibility.models import EligibilityDecision
from jobs.eligibility.proofs import decision_breaks
from jobs.eligibility.rules_snapshot import digest_of
from jobs.households.actions import change_contact, replace_incomes, replace_members
from jobs.households.actions_merge import merge, say_different
from jobs.households.models import Household
from jobs.households.rules import IncomeFacts, MemberFacts
from jobs.intake.actions import answer_relation
from tests.jobs.intake.people import asking, eligible, open_application

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 15)
Step = Callable[["Play", int], None]


class Play:
    """One household with a decision, a second record of it, and what the crew does to them."""

    def __init__(self, screener: Person, treasurer: Person, owner: Person) -> None:
        self.screener, self.treasurer, self.owner = screener, treasurer, owner
        self.decision = eligible(screener)
        self.other = open_application(
            by=screener, asking=asking(name="W. Quarrender", phone="555 0142 77")
        ).household

    @property
    def household(self) -> Household:
        self.decision.application.refresh_from_db()
        return Household.objects.get(pk=self.decision.application.household_id)

    def incomes(self, n: int) -> None:
        income = IncomeFacts(kind="pay", period="yearly", amount=Money(n * 1_000_00))
        replace_incomes(by=self.screener, household=self.household, incomes=[income])

    def people(self, n: int) -> None:
        rows = [
            MemberFacts(name=f"Person {k}", relation="applicant" if k == 0 else "child")
            for k in range(n % 5 + 1)
        ]
        replace_members(by=self.screener, household=self.household, members=rows)

    def contact(self, n: int) -> None:
        area = ("contiguous", "alaska", "hawaii")[n % 3]
        change_contact(by=self.screener, household=self.household, area=area, address=f"{n} Elsewhere Road")

    def percent(self, n: int) -> None:
        set_rule(
            by=self.owner,
            name="guideline_percent",
            value=str(100 + n),
            valid_from=DAY,
            reason="Another percent",
        )

    def method(self, n: int) -> None:
        value = ("exact", "4.3 and 2.15", "4.333 and 2.167")[n % 3]
        set_rule(by=self.owner, name="income_method", value=value, valid_from=DAY, reason="Another method")

    def again(self, n: int) -> None:
        by = (self.screener, self.treasurer)[n % 2]
        sight(by=by, household=self.household, kind="pay stub", document_date=DAY)
        answer_relation(by=by, application=self.decision.application, tie=False)
        verdict, words = (("eligible", ""), ("not eligible", ""), ("more papers needed", "A stub"))[n % 3]
        decide(by=by, application=self.decision.application, verdict=verdict, words=words)

    def merge(self, n: int) -> None:
        pair = (self.household, self.other) if n % 2 else (self.other, self.household)
        merge(by=self.screener, kept=pair[0], other=pair[1], reason="The same phone")

    def different(self, n: int) -> None:
        say_different(by=self.screener, first=self.household, second=self.other, reason="Two sisters")


STEPS = ("incomes", "people", "contact", "percent", "method", "again", "merge", "different")


@given(st.lists(st.tuples(st.sampled_from(STEPS), st.integers(1, 60)), min_size=1, max_size=7))
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_frozen_decision_never_changes(
    screener: Person, treasurer: Person, owner: Person, steps: list[tuple[str, int]]
) -> None:
    with transaction.atomic():
        play = Play(screener, treasurer, owner)
        frozen = EligibilityDecision.objects.filter(pk=play.decision.pk).values().get()
        for name, n in steps:
            try:
                with transaction.atomic():
                    getattr(play, name)(n)
            except Refusal:
                continue
        assert EligibilityDecision.objects.filter(pk=play.decision.pk).values().get() == frozen
        assert digest_of(frozen["snapshot"], frozen["words"]) == frozen["digest"]
        assert list(decision_breaks()) == []
        transaction.set_rollback(True)


def test_a_change_behind_the_programs_back_shows(screener: Person) -> None:
    decision = eligible(screener)
    assert list(decision_breaks()) == []
    EligibilityDecision.objects.filter(pk=decision.pk).update(words="Changed by hand")
    assert list(decision_breaks()) == ["The decision of 2026-03-15 on A-0001 was changed after it was taken."]
