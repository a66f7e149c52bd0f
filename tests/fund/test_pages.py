"""What keeps views thin: trying an action with a form, and the tabs along the top."""

from typing import Any

import pytest
from django import forms
from django.contrib.messages import get_messages
from django.contrib.messages.storage.fallback import FallbackStorage
from django.http import HttpRequest
from django.template import Context, Template
from django.test import RequestFactory

from fund.forms import BookForm
from fund.pages import CREW_ROOMS, attempt, form_page, posted
from fund.refusal import NotAllowed, NotEnoughMoney


class Slip(BookForm):
    words = forms.CharField()


def request(data: dict[str, str] | None = None) -> HttpRequest:
    made = RequestFactory().post("/crew/x/", data) if data is not None else RequestFactory().get("/crew/x/")
    made.session = {}  # type: ignore[assignment]
    made._messages = FallbackStorage(made)  # type: ignore[attr-defined]
    return made


def refuse() -> str:
    raise NotEnoughMoney("It is not there.", ["bank 1.00", "less reserve 1.00"])


def not_yours() -> str:
    raise NotAllowed("Only an owner may.")


def test_a_refusal_stands_on_the_form_with_its_details() -> None:
    form = Slip({"words": "kept"})
    assert attempt(request({}), form, refuse) is None
    html = str(form)
    assert "It is not there." in html
    assert "less reserve 1.00" in html
    assert 'value="kept"' in html


def test_a_refusal_without_a_form_is_said_above_the_page() -> None:
    asked = request({})
    assert attempt(asked, None, refuse) is None
    assert [str(message) for message in get_messages(asked)] == [
        "It is not there. bank 1.00 less reserve 1.00"
    ]


def test_a_missing_power_goes_on_to_the_guard() -> None:
    with pytest.raises(NotAllowed):
        attempt(request({}), Slip(), not_yours)


def page(asked: HttpRequest, act: Any) -> Any:
    return form_page(
        asked, Slip(**posted(asked)), act, template="403.html", then=lambda made: f"/crew/{made}/"
    )


def test_a_form_that_did_its_work_leads_on() -> None:
    answer = page(request({"words": "on"}), lambda cleaned: cleaned["words"])
    assert (answer.status_code, answer["Location"]) == (302, "/crew/on/")


@pytest.mark.django_db
@pytest.mark.parametrize(("data", "act"), [({"words": ""}, None), ({"words": "x"}, lambda cleaned: refuse())])
def test_a_form_with_something_wrong_comes_back_as_unprocessable(data: dict[str, str], act: Any) -> None:
    assert page(request(data), act).status_code == 422


def tabs(path: str, **can: bool) -> str:
    template = Template(
        "{% load book %}{% crew_tabs as t %}{% for tab in t.items %}{{ tab.label }}={{ tab.current }} {% endfor %}"
    )
    return template.render(Context({"request": RequestFactory().get(path), "can": can})).strip()


def test_the_room_one_is_in_is_marked_and_no_other() -> None:
    assert tabs("/crew/", today_see=True, gift_see=True) == "Today=page Gifts="
    assert tabs("/crew/gifts/new/", today_see=True, gift_see=True) == "Today= Gifts=true"


def test_a_room_without_an_open_door_is_left_out() -> None:
    assert tabs("/crew/", today_see=True) == "Today=page"


def test_whoever_takes_down_requests_enters_households_by_the_intake_door() -> None:
    households = next(room for room in CREW_ROOMS if room.label == "Households")
    assert households.door({"intake_enter": True}) == "/crew/intake/"
    assert households.door({"intake_enter": True, "household_screen": True}) == "/crew/households/"
