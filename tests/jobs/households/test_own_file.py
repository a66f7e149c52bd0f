"""The file for the household itself: all that was told, with every request and under every record."""

from datetime import date

import pytest

from fund.access.models import Person
from fund.money import Money
from fund.refusal import TwoPeopleNeeded
from jobs.eligibility.actions_second import ask_cost_exception
from jobs.estimates.actions_owner import owner_agrees
from jobs.households.actions import replace_incomes
from jobs.households.actions_own import hand_over_data
from jobs.households.models import Household
from jobs.households.queries_own import own_data
from jobs.households.rules import IncomeFacts
from jobs.intake.actions import answer_relation, open_application
from jobs.intake.actions_same import merge_households
from jobs.intake.models import Application
from jobs.intake.rules import QUESTIONS
from jobs.vehicles.actions_desk import write_to_owner
from tests.jobs.households.stored import MARKS, marked
from tests.jobs.intake.people import application_of_three, asking
from tests.jobs.workshop import eligible, priced

pytestmark = pytest.mark.django_db


def section(text: str, heading: str) -> list[str]:
    return text.split(f"\n{heading}\n")[1].split("\n\n")[0].splitlines()[1:]


def test_it_holds_what_was_told_with_a_request(screener: Person) -> None:
    told = asking(
        referral="Aunt Philippa of the parish",
        best_time="after six",
        vehicle_words="Stagecoach 400",
        registered_on=date(2019, 5, 1),
        plate="LRK 2040",
        need_words="Dialysis in Oxbow",
        other_way="hard",
        channel="referral",
        answers=dict.fromkeys(QUESTIONS, "yes") | {"insured": "not sure"},
    )
    application = open_application(by=screener, asking=told)
    answer_relation(by=screener, application=application, tie=False)
    ask_cost_exception(
        by=screener,
        application=application,
        rule="cap",
        reason="Three children ride along.",
        up_to=Money(1_800_00),
    )
    text = own_data(application.household)
    lines = section(text, "Requests and decisions")
    for line in (
        "Came in: sent by a partner, taken down by Ines Moreau",
        "Sent or helped by: Aunt Philippa of the parish",
        "Best time to call: after six",
        "Make and model: Stagecoach 400",
        "Needed for: getting to work. Dialysis in Oxbow",
        "Without it: A bus or rides from others, but it is hard.",
        f"{QUESTIONS['insured']} not sure",
    ):
        assert f"  {line}" in lines
    assert any("Three children ride along. It was not answered yet." in line for line in lines)
    assert "registered to you since 2019-05-01" in section(text, "Vehicles")[0]


def test_it_holds_the_words_of_an_appeal_and_of_a_consent_taken_back(
    screener: Person, volunteer: Person
) -> None:
    text = own_data(marked(screener, volunteer).household)
    assert f"You asked for a second look on 2026-03-15: {MARKS['appeal words']}" in text
    assert f"taken back on 2026-03-15, written down by Ines Moreau. {MARKS['consent words']}" in text
    assert MARKS["hold words"] not in text


def test_it_holds_what_the_owner_said_to_a_repair(screener: Person, volunteer: Person) -> None:
    repair = priced(volunteer, eligible(screener))
    owner_agrees(by=volunteer, repair=repair, name="Hepzibah Thimble", how="phone", called="212 555 0111")
    write_to_owner(
        by=volunteer, repair=repair, way="letter", words="Please fetch it.", answer="My son comes on Friday."
    )
    lines = section(own_data(repair.household), "Repairs")
    assert (
        "  Hepzibah Thimble said yes to the work on 2026-03-15 (said by phone, called at 212 555 0111)."
        in lines
    )
    said = "Please fetch it. My son comes on Friday."
    assert f"  We wrote or spoke to you on 2026-03-15 (letter): {said}" in lines


@pytest.fixture
def merged(screener: Person) -> tuple[Household, Household]:
    """Two records of one household, the second with people, incomes and a phone of its own."""
    kept = application_of_three(screener)
    other = open_application(by=screener, asking=asking(name="Ozias Thimble", phone="212 555 0199"))
    income = IncomeFacts(kind="pay", period="monthly", amount=Money(777_00), note="nights at the mill")
    replace_incomes(by=screener, household=other.household, incomes=[income])
    merge_households(by=screener, kept=kept.household, other=other.household, reason="Told us so.")
    return Household.objects.get(pk=kept.household.pk), Household.objects.get(pk=other.household.pk)


def test_it_holds_what_a_merged_record_holds_from_whichever_it_is_asked(
    merged: tuple[Household, Household],
) -> None:
    kept, other = merged
    text = own_data(kept)
    assert own_data(other) == text
    assert "In the record H-0002, which became one with this:" in section(text, "You")
    assert "Phone: 212 555 0199" in section(text, "You")
    assert any("Ozias Thimble" in line for line in section(text, "The people of your household"))
    assert any("nights at the mill" in line for line in section(text, "Incomes as you told them"))
    assert len([line for line in section(text, "Requests and decisions") if line.startswith("A-")]) == 2


def test_a_tie_closes_a_merged_record_too(merged: tuple[Household, Household], screener: Person) -> None:
    kept, other = merged
    application = Application.objects.filter(household=kept).first()
    assert application is not None
    answer_relation(by=screener, application=application, tie=True, words="My cousin")
    for household in (kept, other):
        with pytest.raises(TwoPeopleNeeded):
            hand_over_data(by=screener, household=household)
