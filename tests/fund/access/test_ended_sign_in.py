"""Nothing typed is lost when a sign-in ends before the form is sent; strangers still meet nothing."""

import re
import time
from collections.abc import Callable

import pytest
import time_machine
from django.contrib.sessions.models import Session
from django.core import signing
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils.html import escape

from fund.access.ended import COOKIE, KEPT_FOR, SALT
from fund.access.models import Person
from fund.receipts.models import Receipt

PASSWORD = "long road to the mill"
TYPED = {
    "store": "Gantry “Parts” & Sons", "number": "4471", "on": "2026-03-15", "total": "12.00", "tax": "0.00",
    "lines-TOTAL_FORMS": "1", "lines-INITIAL_FORMS": "0", "lines-0-text": "rags", "lines-0-amount": "12.00",
}  # fmt: skip


@pytest.fixture
def ended(volunteer: Person) -> Client:
    """Signed in through the page, then twelve hours gone by."""
    client = Client()
    sign_in(client)
    Session.objects.all().delete()
    return client


def sign_in(client: Client, username: str = "tavi", **more: str) -> str:
    form = {"username": username, "password": PASSWORD, **more}
    return client.post(reverse("access:sign-in"), form).content.decode()


def sent(client: Client) -> str:
    answer = client.post(reverse("receipts:new"), TYPED)
    assert answer.status_code == 403
    return str(re.findall(r'name="kept" value="([^"]+)"', answer.content.decode())[0])


def test_what_was_typed_comes_back_after_signing_in_and_goes_where_it_was_to_go(ended: Client) -> None:
    kept = sent(ended)
    page = sign_in(ended, kept=kept)
    assert "Send what you typed?" in page
    assert f'action="{reverse("receipts:new")}"' in page
    for name, value in TYPED.items():
        assert f'name="{name}" value="{escape(value)}"' in page
    assert not Receipt.objects.exists()  # nothing is sent by itself
    assert ended.get(reverse("receipts:new")).status_code == 200


def test_a_wrong_password_in_between_loses_nothing(ended: Client) -> None:
    kept = sent(ended)
    page = ended.post(
        reverse("access:sign-in"), {"username": "tavi", "password": "guess", "kept": kept}
    ).content.decode()
    assert f'name="kept" value="{kept}"' in page


def test_somebody_else_at_the_same_browser_is_not_shown_it(ended: Client, volunteer2: Person) -> None:
    page = sign_in(ended, "jun", kept=sent(ended))
    assert "rags" not in page


def test_after_an_hour_it_is_gone(ended: Client) -> None:
    kept = sent(ended)
    with time_machine.travel(time.time() + KEPT_FOR + 1):
        assert "rags" not in sign_in(ended, kept=kept)


def test_what_this_program_did_not_receive_is_not_put_into_a_form(ended: Client) -> None:
    assert "Send what you typed?" not in sign_in(ended, kept=sent(ended)[:-3] + "abc")


@pytest.mark.parametrize(
    ("address", "typed"),
    [
        ("access:own", {"old": PASSWORD, "new": "x9x9x9", "again": "x9x9x9"}),
        ("gifts:count-new", {"place": "jar", "second_name": "jun", "second_password": "x9x9x9"}),
    ],
)
def test_a_password_is_not_held(ended: Client, address: str, typed: dict[str, str]) -> None:
    answer = ended.post(reverse(address), typed)
    kept = re.findall(r'name="kept" value="([^"]+)"', answer.content.decode())[0]
    held: dict[str, object] = signing.loads(kept, salt=SALT)
    assert "x9x9x9" not in str(held["pairs"])


def test_files_are_named_to_be_chosen_again(ended: Client) -> None:
    paper = SimpleUploadedFile("slip.jpg", b"x", "image/jpeg")
    page = ended.post(reverse("receipts:new"), {**TYPED, "photo": paper}).content.decode()
    assert "Choose again afterwards: slip.jpg." in page


@pytest.mark.parametrize("address", ["receipts:new", "access:own"])
def test_a_stranger_still_meets_nothing(volunteer: Person, address: str) -> None:
    assert Client().post(reverse(address), TYPED).status_code == 404
    forged = Client()
    forged.cookies[COOKIE] = "1"
    assert forged.post(reverse(address), TYPED).status_code == 404


def test_signing_out_forgets_the_browser(volunteer: Person, client_for: Callable[[Person], Client]) -> None:
    client = Client()
    sign_in(client)
    assert client.cookies[COOKIE].value
    client.post(reverse("access:sign-out"))
    assert client.post(reverse("receipts:new"), TYPED).status_code == 404


def test_a_look_after_the_end_is_led_to_the_sign_in_page_by_the_words_of_the_404(ended: Client) -> None:
    answer = ended.get(reverse("receipts:new"))
    assert answer.status_code == 404
    assert f"/crew/sign-in/?next={reverse('receipts:new')}" in answer.content.decode()
