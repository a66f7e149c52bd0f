from collections.abc import Callable
from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from fund.access.models import Person
from jobs.eligibility.actions import decide
from jobs.eligibility.models import EligibilityDecision, GuidelineTable
from jobs.eligibility.models_second import Appeal, Letter, RuleException
from jobs.intake.models import Application, RelationAnswer
from jobs.vehicles.actions import add_vehicle
from jobs.vehicles.rules import Standing
from tests.jobs.intake.people import eligible, ready_to_decide
from tests.jobs.pressed import press

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
DECIDE = {"tie": "no", "verdict": "eligible", "on": "2026-03-15"}


@pytest.fixture
def new_registration(screener: Person) -> Application:
    application = ready_to_decide(screener)
    add_vehicle(
        by=screener,
        household=application.household,
        year=2012,
        vehicle_class="sedan",
        standing=Standing(registered_on=date(2026, 3, 1)),
    )
    return application


def test_an_exception_goes_from_the_one_who_asks_to_the_one_who_agrees(
    new_registration: Application, client_for: SignIn, screener: Person, treasurer: Person
) -> None:
    asking, agreeing = client_for(screener), client_for(treasurer)
    page = press(asking, "/crew/intake/A-0001/decide/", DECIDE)
    assert page.status_code == 422
    assert "asks for 6 months" in page.content.decode()
    page = asking.get("/crew/intake/A-0001/exception/")
    assert "registered to the household since 2026-03-01" in page.content.decode()
    sent = {"tie": "no", "rule": "registration", "reason": "A gift from a neighbor"}
    assert asking.post("/crew/intake/A-0001/exception/", sent)["Location"] == "/crew/intake/A-0001/decide/"
    row = RuleException.objects.get()
    own = asking.post(f"/crew/intake/exceptions/{row.pk}/", {"tie": "no", "agreed": "yes"})
    assert (own.status_code, "two different people" in own.content.decode()) == (422, True)
    agreeing.post(f"/crew/intake/exceptions/{row.pk}/", {"tie": "no", "agreed": "yes"})
    assert "Gives way: A gift from a neighbor" in asking.get("/crew/intake/A-0001/decide/").content.decode()
    assert press(asking, "/crew/intake/A-0001/decide/", DECIDE).status_code == 302
    assert EligibilityDecision.objects.get().verdict == "eligible"


def test_a_no_without_words_keeps_what_was_chosen(
    new_registration: Application, client_for: SignIn, screener: Person, treasurer: Person
) -> None:
    client_for(screener).post(
        "/crew/intake/A-0001/exception/",
        {"tie": "no", "rule": "registration", "reason": "A gift from a neighbor"},
    )
    address = f"/crew/intake/exceptions/{RuleException.objects.get().pk}/"
    page = client_for(treasurer).post(address, {"tie": "no", "agreed": "no"})
    assert (page.status_code, "Write why not" in page.content.decode()) == (422, True)
    client_for(treasurer).post(address, {"tie": "no", "agreed": "no", "words": "Bought to sell"})
    assert "The rule stands, said Odell Price" in client_for(treasurer).get(address).content.decode()


def test_both_who_make_an_exception_are_asked_for_a_tie_and_with_one_someone_else_answers(
    new_registration: Application, client_for: SignIn, screener: Person, treasurer: Person, owner: Person
) -> None:
    sent = {"rule": "registration", "reason": "A gift from a neighbor"}
    page = client_for(screener).post("/crew/intake/A-0001/exception/", sent)
    assert (page.status_code, "A gift from a neighbor" in page.content.decode()) == (422, True)
    client_for(screener).post("/crew/intake/A-0001/exception/", sent | {"tie": "no"})
    address = f"/crew/intake/exceptions/{RuleException.objects.get().pk}/"
    assert client_for(treasurer).post(address, {"agreed": "yes"}).status_code == 422
    tied = {"agreed": "yes", "tie": "yes", "tie_words": "Her landlord"}
    page = client_for(treasurer).post(address, tied)
    assert (page.status_code, "Someone without a tie" in page.content.decode()) == (422, True)
    assert RuleException.objects.get().agreed is None
    assert RelationAnswer.objects.get(person=treasurer, tie=True).words == "Her landlord"
    assert client_for(owner).post(address, {"agreed": "yes", "tie": "no"}).status_code == 302


def test_a_rule_that_never_gives_way_is_not_offered(screener: Person, client_for: SignIn) -> None:
    ready_to_decide(screener)
    page = client_for(screener).get("/crew/intake/A-0001/exception/").content.decode()
    assert "No rule that may give way" in page
    sent = {"tie": "no", "rule": "income", "reason": "Because"}
    assert client_for(screener).post("/crew/intake/A-0001/exception/", sent).status_code in (200, 422)
    assert not RuleException.objects.exists()


def test_a_second_look_is_written_down_for_the_household(
    screener: Person, volunteer: Person, client_for: SignIn
) -> None:
    application = ready_to_decide(screener)
    decide(by=screener, application=application, verdict="not eligible", reasons=["not our kind of work"])
    page = client_for(screener).get("/crew/intake/A-0001/").content.decode()
    assert "/crew/intake/A-0001/second-look/" in page
    client_for(volunteer).post("/crew/intake/A-0001/second-look/", {"words": "Look at the brakes"})
    assert Appeal.objects.get().taken_by == volunteer


def test_the_letter_page_shows_both_languages_and_keeps_what_goes_out(
    screener: Person, client_for: SignIn
) -> None:
    decision = eligible(screener)
    client = client_for(screener)
    address = f"/crew/intake/decisions/{decision.pk}/letter/"
    assert "Your household can be helped" in client.get(address).content.decode()
    spanish = client.get(address + "?language=es").content.decode()
    assert 'lang="es"' in spanish
    assert "Podemos ayudar" in spanish
    assert client.post(address + "?language=es").status_code == 302
    assert (Letter.objects.get().language, Letter.objects.get().by) == ("es", screener)
    file = f"/crew/intake/decisions/{decision.pk}/letter-file/"
    pdf = client.get(file)
    assert pdf.content.startswith(b"%PDF-")
    assert pdf["Content-Disposition"] == 'attachment; filename="letter-A-0001-en.pdf"'
    text = client.get(file + "?language=es&format=text")
    assert text["Content-Type"].startswith("text/plain")
    assert "El sí vale hasta" in text.content.decode()


def test_income_tables_are_loaded_by_an_owner_from_a_file(owner: Person, client_for: SignIn) -> None:
    head = "year,area,size_1,size_2,size_3,size_4,size_5,size_6,size_7,size_8,each_more,in_use_from,source\n"
    row = "2027,hawaii,19000,25000,31000,37000,43000,49000,55000,61000,6000,2027-01-20,HHS 2027\n"
    client = client_for(owner)
    bad = client.post(
        "/crew/intake/income-tables/load/", {"file": SimpleUploadedFile("t.csv", b"a,b\n1,2\n")}
    )
    assert (bad.status_code, "lacks the columns" in bad.content.decode()) == (422, True)
    client.post(
        "/crew/intake/income-tables/load/", {"file": SimpleUploadedFile("t.csv", (head + row).encode())}
    )
    assert GuidelineTable.objects.filter(source="HHS 2027").count() == 1


def test_a_file_that_is_no_text_gets_a_plain_sentence(owner: Person, client_for: SignIn) -> None:
    page = client_for(owner).post(
        "/crew/intake/income-tables/load/", {"file": SimpleUploadedFile("t.csv", b"\xff\xfe\x00year")}
    )
    assert page.status_code == 422
