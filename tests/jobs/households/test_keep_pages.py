from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from fund import clock
from fund.access.models import Person
from fund.trail.models import TrailLine
from jobs.households.actions_keep import forget_households
from jobs.households.models import Household, Sighting
from jobs.households.models_keep import ConsentChange, Hold
from jobs.households.models_papers import PaperCopy
from jobs.households.queries_consent import consents_on
from jobs.intake.actions import answer_relation
from tests.fund.attachments.makers import photo
from tests.jobs.households.stored import MARKS, marked
from tests.jobs.intake.people import application_of_three

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
SEEN = {"kind": "pay stub", "document_date": "2026-03-01", "on": "2026-03-15"}


@pytest.fixture(autouse=True)
def media(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path


def test_a_paper_is_entered_with_a_copy_and_the_copy_opens(screener: Person, client_for: SignIn) -> None:
    application_of_three(screener)
    client = client_for(screener)
    client.post("/crew/households/H-0001/papers/", SEEN | {"copy": SimpleUploadedFile("stub.jpg", photo())})
    copy = PaperCopy.objects.get()
    assert f"/crew/households/copies/{copy.pk}/" in client.get("/crew/households/H-0001/").content.decode()
    opened = client.get(f"/crew/households/copies/{copy.pk}/")
    assert opened.content.startswith(b"\xff\xd8")
    assert (opened["Cache-Control"], opened["Content-Type"]) == ("private, no-store", "image/jpeg")
    assert opened["Content-Security-Policy"] == "default-src 'none'; sandbox"
    with clock.at(date(2026, 3, 15) + timedelta(days=90)):
        forget_households(by=None)
        assert client.get(f"/crew/households/copies/{copy.pk}/")["Location"] == "/crew/households/H-0001/"


def test_a_refused_copy_enters_no_paper_either(screener: Person, client_for: SignIn) -> None:
    application_of_three(screener)
    sent = SEEN | {"copy": SimpleUploadedFile("stub.jpg", b"<html>")}
    page = client_for(screener).post("/crew/households/H-0001/papers/", sent)
    assert (page.status_code, "Inside it is a web page" in page.content.decode()) == (422, True)
    assert not Sighting.objects.exists()


def test_the_households_own_file_holds_all_it_told(
    screener: Person, volunteer: Person, client_for: SignIn
) -> None:
    marked(screener, volunteer)
    client = client_for(screener)
    assert client.get("/crew/households/H-0001/own-data/").status_code == 405
    file = client.post("/crew/households/H-0001/own-data/")
    text = file.content.decode()
    assert file["Content-Disposition"] == 'attachment; filename="H-0001.txt"'
    inside = (
        "name",
        "child",
        "phone",
        "e-mail",
        "street",
        "stub",
        "income note",
        "rent story",
        "paper note",
        "VIN",
    )
    for kind in (*inside, "plate", "vehicle note", "decision words"):
        assert MARKS[kind] in text, kind
    assert "1,733.91" in text
    assert MARKS["tie words"] not in text
    assert TrailLine.objects.filter(action="household.data", subject="H-0001").count() == 1
    assert client_for(volunteer).post("/crew/households/H-0001/own-data/").status_code == 403


def test_who_has_a_tie_makes_no_file(screener: Person, client_for: SignIn) -> None:
    application = application_of_three(screener)
    answer_relation(by=screener, application=application, tie=True, words="My aunt")
    answer = client_for(screener).post("/crew/households/H-0001/own-data/", follow=True)
    assert "You answered that you have a tie" in answer.content.decode()


def test_a_hold_is_set_by_the_screener_and_lifted_by_the_owner(
    screener: Person, owner: Person, client_for: SignIn
) -> None:
    application_of_three(screener)
    client = client_for(screener)
    assert client.post("/crew/households/H-0001/hold/", {"reason": ""}).status_code == 422
    client.post("/crew/households/H-0001/hold/", {"reason": "The insurer asks"})
    assert "The insurer asks" in client.get("/crew/households/H-0001/").content.decode()
    assert client.post("/crew/households/H-0001/hold/lift/").status_code == 403
    assert client_for(owner).post("/crew/households/H-0001/hold/lift/").status_code == 302
    assert Hold.objects.get().lifted_by == owner


def test_a_consent_taken_back_counts_from_its_day(
    screener: Person, volunteer: Person, client_for: SignIn
) -> None:
    application = application_of_three(screener, consents=dict.fromkeys(("data", "work", "story"), True))
    sent = {
        "key": "story",
        "given": "no",
        "on": "2026-03-15",
        "words": "Film taken down; copies by others stay",
    }
    client_for(volunteer).post("/crew/households/consents/A-0001/", sent)
    assert ConsentChange.objects.get().by == volunteer
    assert not consents_on(application)["story"]
    again = client_for(volunteer).post("/crew/households/consents/A-0001/", sent)
    assert (again.status_code, "stands like this already" in again.content.decode()) == (422, True)


def test_a_yes_to_story_and_photos_runs_out_and_one_to_the_work_does_not(screener: Person) -> None:
    application = application_of_three(
        screener, consents=dict.fromkeys(("data", "work", "story", "photos"), True)
    )
    with clock.at(date(2028, 3, 14)):
        assert consents_on(application)["story"]
    with clock.at(date(2028, 3, 15)):
        now = consents_on(application)
    assert (now["story"], now["photos"], now["work"], now["data"]) == (False, False, True, True)


def test_the_destruction_log_names_alias_rule_and_counts(
    screener: Person, volunteer: Person, owner: Person, client_for: SignIn
) -> None:
    application_of_three(screener)
    Household.objects.get().applications.update(state="withdrawn")
    with clock.at(date(2028, 3, 15)):
        forget_households(by=owner)
        page = client_for(screener).get("/crew/households/destruction-log/").content.decode()
        assert "24 months after the request ended without help" in page
        assert "3 people" in page
        assert client_for(screener).get("/crew/households/H-0001/").status_code == 200
