"""A layout made on screen from an uploaded file: guessed, corrected, seen row by row, saved by name, and posted."""

import re
from collections.abc import Callable
from html import unescape
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.gifts.actions_layouts import add_platform
from fund.gifts.models import Gift, Layout, LayoutSample, Payout, PayoutFile, Platform
from fund.ledger.actions import add_clearing_account, add_purpose
from fund.ledger.models import Entry
from fund.ledger.queries import balance
from fund.trail.models import TrailLine
from tests.fund.gifts.files import lines_of
from tests.fund.gifts.unknown import FOREIGN, MILLPOND

SignIn = Callable[[Person], Client]
pytestmark = pytest.mark.usefixtures("millpond")


@pytest.fixture
def millpond(treasurer: Person) -> Platform:
    account = add_clearing_account(by=treasurer, name="Millpond Pay")
    add_purpose(by=treasurer, code="tires", name="Tires", giver_words="for tires")
    return add_platform(
        by=treasurer, name="Millpond Pay", code="millpond", kind="membership", account=account.code
    )


def text_of(answer: Any) -> str:
    return " ".join(unescape(answer.content.decode()).split())


def uploaded(client: Client, data: bytes, name: str = "Millpond March.csv") -> str:
    told = {"file": SimpleUploadedFile(name, data, "text/csv")}
    return str(client.post(reverse("gifts:sample-new"), told)["Location"])


def chosen(page: str) -> dict[str, str]:
    """What the form on a page would send: its text boxes and the chosen line of each choice."""
    told = dict(re.findall(r'<input type="text" name="([^"]+)" value="([^"]*)"', page))
    for name, inside in re.findall(r'<select name="([^"]+)"[^>]*>(.*?)</select>', page):
        options = re.findall(r'<option value="([^"]*)"( selected)?', inside)
        told[name] = next((value for value, mark in options if mark), options[0][0])
    return told


def name_of(page: str, label: str) -> str:
    """The form name of the choice with a label."""
    found = re.search(rf'<label for="id_([^"]+)">{re.escape(label)}</label>', page)
    assert found, label
    return found.group(1)


def test_an_unknown_file_is_guessed_corrected_saved_and_posted(
    treasurer: Person, client_for: SignIn, millpond: Platform
) -> None:
    client = client_for(treasurer)
    address = uploaded(client, MILLPOND)
    page = text_of(client.get(address))
    told = chosen(page)
    assert told["name"] == "millpond-march"
    assert told[name_of(page, "Reference")] == "ref"
    assert told[name_of(page, "Hosting")] == "fee:platform"
    assert told[name_of(page, "Device")] == ""
    assert "like phone, phone, phone" in page
    assert told[name_of(page, "contribution")] == "gift"
    assert told[name_of(page, "sweep")] == ""
    assert told[name_of(page, "Tires")] == "tires"
    assert "Give at least one word that marks" in page
    assert not Layout.objects.filter(platform=millpond).exists()

    told |= {name_of(page, "sweep"): "payout", "platform": str(millpond.pk)}
    reads = text_of(client.post(reverse("gifts:sample-reads", args=[LayoutSample.objects.get().pk]), told))
    assert "4 rows can be read. Payout B-9 comes to $135.97, to the cent." in reads
    assert "Anwen Pell" in reads
    assert "<html" not in reads

    saved = client.post(address, {**told, "name": "millpond", "save": "1"})
    file = PayoutFile.objects.get()
    assert saved["Location"] == reverse("gifts:payout-file", args=[file.pk])
    assert not LayoutSample.objects.exists()
    spec = Layout.objects.get(name="millpond").spec
    assert spec.words == {"contribution": "gift", "refund": "refund", "sweep": "payout"}
    assert (spec.fees, spec.ignored) == ({"Hosting": "platform", "Payment fee": "processing"}, ("Device",))
    preview = text_of(client.get(saved["Location"]))
    assert "4 new" in preview
    assert "The payout says $135.97, to the cent." in preview
    assert not Entry.objects.exists()

    posted = text_of(client.post(reverse("gifts:payout-post", args=[file.pk]), follow=True))
    assert "Millpond March.csv: 4 posted, 0 already booked." in posted
    account = millpond.account_id
    # General money: 20.00 - 20.00 sent back - fees 1.88 and 12.15; the tires' money comes whole.
    assert sorted(lines_of(Payout.objects.get().entry)) == sorted(
        [
            ("1000", "general", "-14.03", ""),
            (account, "general", "14.03", ""),
            ("1000", "tires", "150.00", ""),
            (account, "tires", "-150.00", ""),
        ]
    )
    assert str(balance("1000")) == "135.97"
    assert str(balance(account)) == "0.00"
    assert Gift.objects.get(platform_ref="r-101").purpose_id == "tires"


def test_a_file_in_another_language_needs_only_its_words_and_fees_told(
    treasurer: Person, client_for: SignIn, millpond: Platform
) -> None:
    client = client_for(treasurer)
    address = uploaded(client, FOREIGN, "Mühle März.csv")
    page = text_of(client.get(address))
    told = chosen(page)
    assert told["name"] == "muhle-marz"
    told |= {name_of(page, "Sammelgang"): "payout", name_of(page, "Anteil"): "fee:platform"}
    told |= {"platform": str(millpond.pk), "save": "1"}
    # Without a column that names payouts, all rows of the file belong to its one payout.
    preview = text_of(client.post(address, told, follow=True))
    assert "The payout says $952.66, to the cent." in preview
    assert "Änne Moß" in preview


def test_a_changed_column_asks_for_its_own_words(treasurer: Person, client_for: SignIn) -> None:
    client = client_for(treasurer)
    address = uploaded(client, MILLPOND)
    page = text_of(client.get(address))
    told = chosen(page) | {name_of(page, "Kind"): "", name_of(page, "Device"): "type"}
    again = text_of(client.post(address, told))
    assert name_of(again, "phone")
    assert 'value="millpond-march"' in again
    assert "Millpond March.csv" in again


def test_two_columns_for_the_same_thing_are_refused_and_nothing_chosen_is_lost(
    treasurer: Person, client_for: SignIn
) -> None:
    client = client_for(treasurer)
    address = uploaded(client, MILLPOND)
    page = text_of(client.get(address))
    told = chosen(page) | {name_of(page, "Device"): "name", "name": "mine", "save": "1"}
    answer = client.post(address, told)
    again = text_of(answer)
    assert answer.status_code == 422
    assert "“Giver” holds that already; only one column can." in again
    assert chosen(again) == {key: value for key, value in told.items() if key != "save"}
    assert not Layout.objects.filter(name="mine").exists()


def test_a_name_that_is_taken_is_refused(treasurer: Person, client_for: SignIn, millpond: Platform) -> None:
    client = client_for(treasurer)
    address = uploaded(client, MILLPOND)
    page = text_of(client.get(address))
    told = chosen(page) | {name_of(page, "sweep"): "payout", "name": "kettle-card", "save": "1"}
    answer = client.post(address, told)
    assert "There is a layout “kettle-card” already. Choose another name." in text_of(answer)
    assert Layout.objects.get(name="kettle-card").platform != millpond


def test_a_file_that_is_no_table_comes_back_with_the_reason(treasurer: Person, client_for: SignIn) -> None:
    told = {"file": SimpleUploadedFile("letter.csv", b"Dear all\n", "text/csv")}
    answer = client_for(treasurer).post(reverse("gifts:sample-new"), told)
    assert answer.status_code == 422
    assert "The file is not a table of cells." in text_of(answer)
    assert not LayoutSample.objects.exists()


def test_a_begun_file_waits_on_the_upload_page_and_can_be_dropped(
    treasurer: Person, client_for: SignIn
) -> None:
    client = client_for(treasurer)
    address = uploaded(client, MILLPOND)
    assert address in text_of(client.get(reverse("gifts:sample-new")))
    pk = LayoutSample.objects.get().pk
    page = text_of(client.post(reverse("gifts:sample-drop", args=[pk]), follow=True))
    assert "Millpond March.csv is dropped." in page
    assert not LayoutSample.objects.exists()
    assert TrailLine.objects.filter(action="layout.drop").exists()


def test_a_volunteer_makes_no_layouts(volunteer: Person, client_for: SignIn) -> None:
    assert client_for(volunteer).get(reverse("gifts:sample-new")).status_code == 403
