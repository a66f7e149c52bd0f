"""The one screen on which a repair is decided."""

from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from fund.commitments.queries import open_for
from fund.ledger.actions import add_purpose
from fund.money import Money
from jobs.approvals.models import Approval
from jobs.estimates.rules import Kind, LineDraft
from jobs.repairs.rules import State
from tests.jobs.pressed import press
from tests.jobs.workshop import eligible, money_in_bank, part, priced, without_share

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
URL = "/crew/repairs/RO-0001/approval/"
YES = {"tie": "no", "words": "", "purpose": "general", "reason": "", "decision": "yes"}


def test_it_shows_fault_cost_household_money_and_rules_in_one_place(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    money_in_bank(treasurer, 3_000_00)
    lines = (*part(232_73, "alternator"), LineDraft(Kind.CORE, "old alternator", Money(55_00)))
    priced(volunteer, eligible(screener, "Zebedee Quill"), lines)
    page = client_for(owner).get(URL).content.decode()
    for shown in (
        "Grinds when braking",
        "Front pads down to metal",
        "232.73",
        "old alternator",
        "55.00",
        "50% to 100% of the guideline",
        "less reserve kept back by the owner",
        "2,000.00",
        "1,767.27",
        "It takes 12% of what is free.",
        "Not yet said whether the household is tied to them: Maren Holt.",
        "Ines Moreau",
    ):
        assert shown in page
    assert "Quill" not in page


def test_once_decided_it_counts_the_repair_no_second_time_and_leads_to_the_decision(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    """Free is 3,000.00 less the reserve of 1,000.00; 400.00 of it is promised, 760.00 would be above one person's limit."""
    money_in_bank(treasurer, 3_000_00)
    priced(volunteer, eligible(screener), part(400_00))
    client = client_for(owner)
    ahead = ("Free to commit after", "A yes lets the bill run", "% of what is free", "The rules")
    assert all(words in client.get(URL).text for words in ahead)
    assert press(client, URL, YES).status_code == 302
    page = client.get(URL).text
    assert "there is nothing to decide now" in page
    assert "1,600.00" in page
    assert "1,200.00" not in page
    assert "stops it" not in page
    assert not any(words in page for words in ahead)
    made = Approval.objects.get()
    assert f'href="/crew/repairs/RO-0001/approval/{made.pk}/"' in page
    assert 'href="/crew/repairs/RO-0001/cost/"' in page


def test_what_nobody_knows_is_not_told_as_kept_neither_before_nor_after_the_yes(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = priced(volunteer, eligible(screener))
    repair.application.answers = {**repair.application.answers, "own vehicle": ""}
    repair.application.save()
    told = '<span class="tag tag-accent">not known</span> Not known yet: in whose name the title is.'
    client = client_for(owner)
    assert told in client.get(URL).content.decode()
    assert press(client, URL, YES).status_code == 302
    made = Approval.objects.get()
    assert told in client.get(f"{URL}{made.pk}/").content.decode()
    unknown = [row["words"] for row in made.snapshot["rules"] if not row["known"]]
    assert unknown == ["Not known yet: in whose name the title is."]


def test_a_yes_with_the_own_answer_approves(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = priced(volunteer, eligible(screener))
    answer = press(client_for(owner), URL, YES)
    assert answer.status_code == 302
    repair.refresh_from_db()
    assert repair.state == State.APPROVED
    assert open_for("RO-0001") == Money(182_29)


def test_without_an_own_answer_nothing_is_decided_and_the_reason_stays(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    money_in_bank(treasurer, 3_000_00)
    priced(volunteer, eligible(screener))
    answer = press(client_for(owner), URL, {**YES, "tie": "", "reason": "Needed for work"})
    assert answer.status_code == 422
    assert "Needed for work" in answer.content.decode()
    assert not Approval.objects.exists()


def test_a_cent_too_much_shows_the_subtractions_and_keeps_what_was_typed(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    money_in_bank(treasurer, 1_400_00)
    priced(volunteer, eligible(screener), part(400_01))
    answer = press(client_for(owner), URL, {**YES, "reason": "Needed for work"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "0.01 short" in page
    assert "Bank 1,400.00" in page
    assert "less reserve kept back by the owner 1,000.00" in page
    assert "Needed for work" in page
    assert not Approval.objects.exists()


def test_a_tie_named_on_the_screen_stays_named_although_the_yes_is_refused(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = priced(volunteer, eligible(screener))
    answer = press(client_for(owner), URL, {**YES, "tie": "yes", "words": "my cousin"})
    assert answer.status_code == 422
    assert "has a tie to the household" in answer.content.decode()
    row = repair.relations.get(person=owner)
    assert (row.tie, row.words) == (True, "my cousin")
    assert not Approval.objects.exists()


def test_a_no_is_confirmed_first_and_needs_words(
    screener: Person, volunteer: Person, owner: Person, client_for: SignIn
) -> None:
    repair = priced(volunteer, eligible(screener))
    client = client_for(owner)
    assert press(client, URL, {**YES, "decision": "no"}).status_code == 422
    said = {**YES, "decision": "no", "reason": "Worth more than the vehicle"}
    page = press(client, URL, said).content.decode()
    assert "Decline it" in page
    assert "Worth more than the vehicle" in page
    assert not Approval.objects.exists()
    press(client, URL, {**said, "confirm": "yes"})
    repair.refresh_from_db()
    assert repair.state == State.DECLINED


def test_later_keeps_it_waiting(
    screener: Person, volunteer: Person, owner: Person, client_for: SignIn
) -> None:
    repair = priced(volunteer, eligible(screener))
    press(client_for(owner), URL, {**YES, "decision": "later", "reason": "After the next payout"})
    repair.refresh_from_db()
    assert repair.state == State.ESTIMATED
    assert Approval.objects.get().kind == "later"


def test_above_the_limit_the_first_person_gives_the_first_of_two(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    money_in_bank(treasurer, 5_000_00)
    repair = priced(volunteer, eligible(screener), part(900_00))
    assert "Give the first of two yeses" in client_for(treasurer).get(URL).content.decode()
    press(client_for(treasurer), URL, {**YES, "decision": "first"})
    assert open_for("RO-0001") == Money.zero
    assert "Approve $900.00" in client_for(owner).get(URL).content.decode()
    press(client_for(owner), URL, YES)
    repair.refresh_from_db()
    assert repair.state == State.APPROVED


def test_a_restricted_gift_can_be_looked_at_before_it_is_chosen(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    without_share(owner)
    add_purpose(by=treasurer, code="tires", name="Tires")
    money_in_bank(treasurer, 1_100_00)
    money_in_bank(treasurer, 300_00, "tires")
    priced(volunteer, eligible(screener), part(325_42, "two tires"))
    client = client_for(owner)
    page = client.get(URL, {"purpose": "tires"}).content.decode()
    assert "of which a restricted gift pays" in page
    assert "74.58" in page
    press(client, URL, {**YES, "purpose": "tires"})
    assert Approval.objects.get().purpose == "tires"


def test_the_frozen_page_shows_the_figures_of_the_day(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    money_in_bank(treasurer, 3_000_00)
    client = client_for(owner)
    repair = priced(volunteer, eligible(screener))
    press(client, URL, YES)
    row = Approval.objects.get()
    money_in_bank(treasurer, 999_99)
    page = client.get(f"{URL}{row.pk}/").content.decode()
    assert "1,817.71" in page
    assert "2,817.70" not in page
    assert repair.approvals.count() == 1


def test_the_crew_answers_about_ties_on_its_own_page(
    screener: Person, volunteer: Person, volunteer2: Person, client_for: SignIn
) -> None:
    repair = priced(volunteer, eligible(screener), mechanic=volunteer2)
    client = client_for(volunteer2)
    assert "Answer the question" in client.get("/crew/repairs/RO-0001/").content.decode()
    url = "/crew/repairs/RO-0001/tie/"
    assert client.post(url, {"tie": "yes", "words": ""}).status_code == 422
    client.post(url, {"tie": "no"})
    assert repair.relations.get(person=volunteer2).tie is False
    assert "Answer the question" not in client.get("/crew/repairs/RO-0001/").content.decode()


def test_what_waits_for_a_decision_is_listed(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    money_in_bank(treasurer, 5_000_00)
    priced(volunteer, eligible(screener, "One"))
    done = priced(volunteer, eligible(screener, "Two"))
    client = client_for(owner)
    press(client, "/crew/repairs/RO-0002/approval/", YES)
    page = client_for(owner).get("/crew/repairs/waiting/decisions/").content.decode()
    assert "RO-0001" in page
    assert done.number not in page
