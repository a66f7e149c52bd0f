"""What the private link shows after sending, in plain words, and what the household does by it."""

import re
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fund import clock
from fund.access.models import Person
from fund.refusal import AlreadyDone, NotReady
from fund.trail.models import TrailLine
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation as answer
from jobs.eligibility.actions import decide, sight
from jobs.eligibility.actions_second import appeal
from jobs.eligibility.models_second import Appeal
from jobs.eligibility.queries import asking_in_month
from jobs.eligibility.queries_stuck import stuck
from jobs.handback.actions_comeback import open_comeback
from jobs.households.actions_consent import change_consent
from jobs.households.queries_consent import consents_on
from jobs.intake.actions import answer_relation, mark_helped
from jobs.intake.actions_public import withdraw_request
from jobs.intake.models import Application
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from tests.jobs.intake.people import application_of_three
from tests.jobs.intake.public import draft_of, sent_by_form
from tests.jobs.intake.test_order_rule import ask_some
from tests.jobs.workshop import money_in_bank, priced

pytestmark = pytest.mark.django_db
TAGS = re.compile(r"<[^>]+>")


def url(secret: str, place: str = "") -> str:
    return f"/ask-for-help/mine/{secret}/{place}"


def told(secret: str) -> str:
    answer = Client().get(url(secret))
    assert answer.status_code == 200
    return re.sub(r"\s+", " ", TAGS.sub(" ", answer.content.decode()))


def asked(secret: str) -> Application:
    application = draft_of(secret).application
    assert application is not None
    return application


def decided(screener: Person, secret: str, verdict: str, **more: Any) -> Application:
    application = asked(secret)
    sight(by=screener, household=application.household, kind="pay stub", document_date=date(2026, 3, 10))
    answer_relation(by=screener, application=application, tie=False)
    decide(by=screener, application=application, verdict=verdict, **more)
    return asked(secret)


def test_a_request_that_waits_is_told_its_place_and_why(screener: Person) -> None:
    ask_some(screener)
    page = told(sent_by_form())
    assert "We have your request." in page
    assert (
        "You are number 2 of 8 in line. Your points: 100 because it is not safe to drive, 30 for what you need it for, "
        "20 because it is hard to get around without it."
    ) in page
    assert "Do not drive it." in page
    assert "Asking is not a promise of help." in page


def test_the_place_is_told_in_spanish_too(screener: Person) -> None:
    page = told(sent_by_form(language="es"))
    assert "Tenemos su solicitud." in page
    assert "Usted es el número 1 de 1 en la fila. Sus puntos: 100 porque no es seguro manejarlo" in page


@pytest.mark.parametrize(
    ("verdict", "more", "words"),
    [
        ("eligible", {}, "This yes is good until June 13, 2026."),
        ("more papers needed", {"words": "A newer stub"}, "We need to see some papers."),
        ("not eligible", {"reasons": ["for business"]}, "We cannot help with this request."),
        ("withdrawn", {}, "This request is closed."),
    ],
)
def test_each_decision_is_told_in_plain_words_without_its_private_reasons(
    screener: Person, verdict: str, more: dict[str, Any], words: str
) -> None:
    secret = sent_by_form()
    decided(screener, secret, verdict, **more)
    page = told(secret)
    assert words in page
    assert "A newer stub" not in page
    assert "Quarrender" not in page


@pytest.mark.parametrize(
    ("state", "words"),
    [
        (State.CHECKED_IN, "on our list for the shop"),
        (State.ESTIMATED, "We know what is wrong."),
        (State.APPROVED, "We will repair it."),
        (State.IN_WORK, "We are working on it."),
        (State.TESTED, "The work is done and tested."),
        (State.HANDED_BACK, "Your repair is done."),
        (State.DECLINED, "We did not repair it."),
        (State.CANCELLED, "We did not repair it."),
        (State.DIAGNOSED, "We did not repair it."),
    ],
)
def test_each_step_in_the_shop_is_told_in_plain_words(
    screener: Person, volunteer: Person, state: State, words: str
) -> None:
    secret = sent_by_form()
    order = priced(volunteer, decided(screener, secret, "eligible"))
    RepairOrder.objects.filter(pk=order.pk).update(state=state)
    assert words in told(secret)
    assert "in line" not in told(secret)


DRIVE = {"en": "Do not drive it.", "es": "No lo maneje."}


@pytest.mark.parametrize(
    ("state", "warned"), [(State.HANDED_BACK, False), (State.IN_WORK, False), (State.DECLINED, True)]
)
def test_the_caution_stands_only_while_the_household_has_the_vehicle_unrepaired(
    screener: Person, volunteer: Person, state: State, warned: bool
) -> None:
    secret = sent_by_form()
    order = priced(volunteer, decided(screener, secret, "eligible"))
    RepairOrder.objects.filter(pk=order.pk).update(state=state)
    page = told(secret)
    assert (DRIVE["en"] in page) is warned
    assert ("Asking is not a promise of help." in page) is False


def test_a_request_that_was_taken_back_says_nothing_of_driving() -> None:
    secret = sent_by_form()
    assert DRIVE["en"] in told(secret)
    withdraw_request(draft=draft_of(secret))
    page = told(secret)
    assert "This request is closed." in page
    assert DRIVE["en"] not in page


@pytest.mark.parametrize(
    ("language", "run_out", "good"),
    [
        ("en", ["Our yes has run out.", "It was good until June 13, 2026."], "Yes, we can help you."),
        ("es", ["Nuestra aprobación ya venció.", "Valía hasta el"], "Sí, podemos ayudarle."),
    ],
)
def test_a_yes_that_ran_out_is_told_as_run_out(
    screener: Person, language: str, run_out: list[str], good: str
) -> None:
    secret = sent_by_form(language=language)
    decided(screener, secret, "eligible")
    with clock.at(date(2026, 6, 13)):
        assert good in told(secret)
    with clock.at(date(2026, 6, 14)):
        page = told(secret)
    assert good not in page
    assert not [words for words in run_out if words not in page]


@pytest.mark.parametrize(
    ("state", "words"),
    [
        (State.CHECKED_IN, "Your vehicle is back with us."),
        (State.IN_WORK, "We look again at what we repaired."),
        (State.TESTED, "We call you, so that you can come and get it."),
        (State.CANCELLED, "The new trouble does not come from our repair."),
        (State.HANDED_BACK, "Your repair is done."),
    ],
)
def test_a_comeback_in_the_shop_is_not_told_as_done(
    screener: Person, volunteer: Person, state: State, words: str
) -> None:
    secret = sent_by_form()
    order = priced(volunteer, decided(screener, secret, "eligible"))
    RepairOrder.objects.filter(pk=order.pk).update(state=State.HANDED_BACK, handed_back_on=date(2026, 3, 15))
    mark_helped(by=volunteer, application=order.application)
    row = open_comeback(by=volunteer, original=order, complaint="Grinds again")
    RepairOrder.objects.filter(pk=row.repair_id).update(state=state)
    page = told(secret)
    assert words in page
    assert ("Your repair is done." in page) is (state == State.HANDED_BACK)


def test_where_more_papers_are_needed_a_second_look_is_offered_as_the_letter_says(screener: Person) -> None:
    secret = sent_by_form()
    decided(screener, secret, "more papers needed", words="A newer stub")
    assert "Ask us to look again" in told(secret)
    page = url(secret, "second-look/")
    assert Client().get(page).status_code == 200
    assert Client().post(page, {"words": "That stub is the newest there is."}).status_code == 302
    assert Appeal.objects.get().words == "That stub is the newest there is."
    assert "Ask us to look again" not in told(secret)


@pytest.mark.parametrize(
    ("language", "words"),
    [("en", "Press the button of what you mean."), ("es", "Oprima el botón de lo que quiere.")],
)
@pytest.mark.parametrize("forged", [{"key": "soul", "given": "no"}, {"key": "story", "given": "maybe"}, {}])
def test_a_forged_consent_is_refused_in_the_language_of_the_page(
    language: str, words: str, forged: dict[str, str]
) -> None:
    secret = sent_by_form(language=language)
    answer = Client().post(url(secret, "agreed/"), forged)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert words in page
    assert "one of the consents" not in page
    assert not asked(secret).consent_changes.exists()


def test_a_yes_to_a_story_is_taken_back_and_given_again_by_the_link() -> None:
    secret = sent_by_form(yes={"yes_story": "on"})
    page = url(secret, "agreed/")
    client = Client()
    assert client.post(page, {"key": "story", "given": "no"}).status_code == 302
    assert consents_on(asked(secret))["story"] is False
    assert client.post(page, {"key": "story", "given": "no"}).status_code == 302  # pressed twice
    assert asked(secret).consent_changes.count() == 1
    assert TrailLine.objects.get(action="consent.change").by is None
    assert client.post(page, {"key": "story", "given": "yes"}).status_code == 302
    assert consents_on(asked(secret))["story"] is True
    assert client.post(page, {"key": "soul", "given": "no"}).status_code == 422


def test_a_second_look_is_asked_for_once_by_the_link(screener: Person) -> None:
    secret = sent_by_form()
    assert Client().get(url(secret, "second-look/"))["Location"] == url(secret)
    decided(screener, secret, "not eligible", reasons=["for business"])
    assert "Ask us to look again" in told(secret)
    page = url(secret, "second-look/")
    empty = Client().post(page, {"words": " "})
    assert empty.status_code == 422
    assert Client().post(page, {"words": "It is not a business."}).status_code == 302
    assert (Appeal.objects.get().words, Appeal.objects.get().taken_by) == ("It is not a business.", None)
    assert "We have your request." in told(secret)


def test_a_household_takes_its_request_back_after_a_question() -> None:
    secret = sent_by_form()
    page = url(secret, "take-back/")
    assert "Take your request back?" in Client().get(page).content.decode()
    assert asked(secret).state == "waiting"
    assert Client().post(page)["Location"] == url(secret)
    application = asked(secret)
    assert (application.state, application.withdrawn_on) == ("withdrawn", date(2026, 3, 15))
    assert "This request is closed." in told(secret)
    line = TrailLine.objects.get(action="application.withdraw")
    assert (line.by, line.subject) == (None, "A-0001")
    with pytest.raises(AlreadyDone, match="not open any more"):
        withdraw_request(draft=draft_of(secret))


def test_what_the_household_took_back_itself_is_decided_on_no_more(
    screener: Person, client_for: Callable[[Person], Client]
) -> None:
    secret = sent_by_form()
    decided(screener, secret, "more papers needed", words="A pay stub")
    withdraw_request(draft=draft_of(secret))
    application = asked(secret)
    answer_relation(by=screener, application=application, tie=False)
    for verdict in ("eligible", "withdrawn"):
        with pytest.raises(NotReady, match="took A-0001 back itself on 2026-03-15.*take down a new request"):
            decide(by=screener, application=application, verdict=verdict)
    with pytest.raises(NotReady, match="took A-0001 back itself"):
        appeal(by=screener, application=application, words="Look again")
    page = client_for(screener).get("/crew/intake/A-0001/").content.decode()
    assert "/crew/intake/A-0001/decide/" not in page
    assert "They ask again: a new request" in page
    assert asked(secret).state == "withdrawn"


def test_without_the_yes_to_keep_the_data_the_request_is_closed_and_says_so(screener: Person) -> None:
    for language, closed, why in (
        ("en", "This request is closed.", "You took back your yes that we keep what you told us."),
        ("es", "Esta solicitud está cerrada.", "Usted retiró su sí a que guardemos lo que nos contó."),
    ):
        secret = sent_by_form(f"Person speaking {language}", language=language)
        assert Client().post(url(secret, "agreed/"), {"key": "data", "given": "no"}).status_code == 302
        application = asked(secret)
        assert (application.state, application.withdrawn_on) == ("withdrawn", date(2026, 3, 15))
        page = told(secret)
        assert closed in page
        assert why in page
        assert "in line" not in page
        assert "Take my request back" not in page
        Client().post(url(secret, "agreed/"), {"key": "data", "given": "yes"})
        assert asked(secret).state == "withdrawn"
    assert TrailLine.objects.filter(action="application.withdraw", by=None).count() == 2


def test_with_the_yes_to_the_work_taken_back_the_household_is_told_to_call(screener: Person) -> None:
    secret = sent_by_form()
    Client().post(url(secret, "agreed/"), {"key": "work", "given": "no"})
    page = told(secret)
    assert "You took back a yes that we need." in page
    assert "We look at it and call you." not in page
    assert "in line" not in page
    assert stuck("no yes").get() == asked(secret)


def test_a_vehicle_in_the_yard_of_a_closed_request_is_told_to_be_fetched(
    screener: Person, volunteer: Person
) -> None:
    secret = sent_by_form()
    priced(volunteer, decided(screener, secret, "eligible"))
    withdraw_request(draft=draft_of(secret))
    page = told(secret)
    assert "This request is closed." in page
    assert "Your vehicle is still with us." in page


def test_an_approved_repair_goes_on_and_waits_for_a_word_with_the_household(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 5_000_00)
    secret = sent_by_form()
    order = priced(volunteer, decided(screener, secret, "eligible"))
    answer(by=owner, repair=order, tie=False)
    approve(by=owner, repair=order)
    change_consent(by=None, application=asked(secret), key="data", given=False)
    assert asked(secret).state == "eligible"
    assert stuck("no yes").get() == asked(secret)
    change_consent(by=None, application=asked(secret), key="data", given=True)
    assert not stuck("no yes").exists()


def test_what_the_household_took_back_itself_counts_as_withdrawn_in_its_month(screener: Person) -> None:
    first, second = sent_by_form(), sent_by_form("Somebody Else")
    with clock.at(date(2026, 3, 20)):
        withdraw_request(draft=draft_of(first))
        decided(screener, second, "withdrawn")
    march = asking_in_month(date(2026, 3, 1), date(2026, 3, 31))
    assert (march.asked, march.withdrawn, march.waiting) == (2, 2, 0)


def test_once_a_repair_is_approved_it_is_stopped_together(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 5_000_00)
    secret = sent_by_form()
    order = priced(volunteer, decided(screener, secret, "eligible"))
    answer(by=owner, repair=order, tie=False)
    approve(by=owner, repair=order)
    assert "Take my request back" not in told(secret)
    with pytest.raises(NotReady, match="Please call us"):
        withdraw_request(draft=draft_of(secret))
    refused = Client().post(url(secret, "take-back/"))
    assert refused.status_code == 422
    assert "Please call us, so that we can stop it together." in refused.content.decode()
    assert asked(secret).state == "eligible"


def test_the_language_of_the_link_changes_after_sending() -> None:
    secret = sent_by_form()
    assert Client().post(url(secret, "language/"), {"language": "es"})["Location"] == url(secret)
    assert "Tenemos su solicitud." in told(secret)
    assert Client().get(url(secret, "language/")).status_code == 405


def test_the_status_asks_as_little_among_many_as_among_few(screener: Person) -> None:
    secret = sent_by_form()

    def count() -> int:
        with CaptureQueriesContext(connection) as seen:
            told(secret)
        return len(seen)

    few = count()
    for number in range(20):
        application_of_three(screener, complaint=f"Noise {number}")
    assert count() == few <= 12
