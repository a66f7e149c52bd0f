"""Pages of supporters: found, merged and taken apart, unnamed in public, erased on request, their monthly pattern."""

from typing import Any

import pytest
from django.urls import reverse

from fund.access.models import Person
from fund.gifts.actions_payout import import_payout
from fund.gifts.models import Gift, Payout, Supporter, SupporterMerge
from fund.letters.actions import write_gift_letter
from tests.fund.gifts.cases import by_transfer, supporter
from tests.fund.gifts.files import patch_circle, patch_file, pledge, transfer
from tests.fund.gifts.pages import SignIn, links, read, send, send_and_confirm


@pytest.fixture
def ada(treasurer: Person) -> Supporter:
    return supporter(treasurer, "Ada Moss", "ada@example.org")


@pytest.fixture
def twin(treasurer: Person) -> Supporter:
    return supporter(treasurer, "ada moss")


def test_two_of_one_name_are_merged_and_taken_apart_again(
    treasurer: Person, ada: Supporter, twin: Supporter, client_for: SignIn
) -> None:
    gift, client = by_transfer(treasurer, 50_00, twin), client_for(treasurer)
    page = links(read(client, "supporter", ada.code))
    assert "Perhaps the same, perhaps not:" in page
    assert f'value="{twin.code}"' in read(client, "supporter-merge", ada.code, gone=twin.code)
    page = send(client, "supporter-merge", ada.code, gone=twin.code, reason="same address on both checks")
    assert f"{twin.code} is merged into {ada.code}." in page
    assert gift.code in links(page)
    assert f"{ada.code})</a>, where everything is" in read(client, "supporter", twin.code)
    letter = write_gift_letter(by=treasurer, gift=Gift.objects.get())
    merge = SupporterMerge.objects.get()
    assert "void them and write new ones" in read(client, "supporter-unmerge", merge.pk)
    page = send(client, "supporter-unmerge", merge.pk, reason="he wrote: that is my mother")
    assert f"{twin.code} is a supporter of its own again." in page
    assert gift.code in links(page)
    assert gift.code not in links(read(client, "supporter", ada.code))
    # The letter that names the wrong giver is voided, and a new one takes its place and names it.
    letters = reverse("letters:void", args=[letter.pk])
    client.post(letters, {"reason": "the wrong giver"})
    again = write_gift_letter(by=treasurer, gift=Gift.objects.get())
    assert (again.supporter_id, again.pk == letter.pk) == (twin.pk, False)


def test_the_same_one_twice_is_refused_and_the_words_stay(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    page = send(client_for(treasurer), "supporter-merge", ada.code, gone=ada.code, reason="by mistake")
    assert "This is the same supporter." in page
    assert "by mistake" in page


def test_whoever_asks_to_be_forgotten_is_after_a_question(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    gift, client = by_transfer(treasurer, 50_00, ada), client_for(treasurer)
    assert "Erase this supporter on request" in read(client, "supporter", ada.code)
    asked, done = send_and_confirm(client, "supporter-erase", ada.code, words="her e-mail of 2026-03-14")
    assert "Forget Ada Moss?" in asked
    assert f"{ada.code} is erased. The ledger keeps the code." in done
    page = links(done)
    assert "Ada Moss" not in page
    assert "ada@example.org" not in page
    assert gift.code in page
    assert "Same as another" not in page


def test_a_supporter_unnamed_in_public_is_named_in_the_books(
    treasurer: Person, ada: Supporter, client_for: SignIn
) -> None:
    client = client_for(treasurer)
    told = {"name": "Ada Moss", "kind": "person", "anonymous": "on"}
    page = links(send(client, "supporter-edit", ada.code, **told))
    assert "Ada Moss" in page
    assert "unnamed in public" in page


def test_the_monthly_pattern_stands_there_with_its_rule(treasurer: Person, client_for: SignIn) -> None:
    rows = [
        pledge(f"ch{month}", f"{month:02}/02/2026", "10.00", to="", Member="Bo Finch", **{"Member No": "m1"})
        for month in (1, 2, 3)
    ]
    import_payout(by=treasurer, data=patch_file(*rows), filename="m.csv", layout=patch_circle())
    client, bo = client_for(treasurer), Supporter.objects.get()
    page = links(read(client, "supporter", bo.code))
    assert '<span class="tag">active</span>' in page
    assert "$30.00 in 3 gifts" in page
    listed = read(client, "supporters")
    assert "retry" in listed  # the rule is told below the list
    assert bo.name in links(read(client, "supporters", words="finch"))


def test_each_gift_stands_there_with_its_payout_and_its_letters(
    treasurer: Person, client_for: SignIn, django_assert_max_num_queries: Any
) -> None:
    charge = pledge("ch1", "03/02/2026", "10.00", Member="Bo Finch", **{"Member No": "m1"})
    import_payout(
        by=treasurer,
        data=patch_file(charge, transfer("T1", "03/06/2026", "10.00")),
        filename="m.csv",
        layout=patch_circle(),
    )
    client, bo = client_for(treasurer), Supporter.objects.get()
    first = write_gift_letter(by=treasurer, gift=Gift.objects.get())
    client.post(reverse("letters:void", args=[first.pk]), {"reason": "misspelled"})
    second = write_gift_letter(by=treasurer, gift=Gift.objects.get())
    client.get(reverse("gifts:supporter", args=[bo.code]))
    with django_assert_max_num_queries(12, info="Q"):
        page = links(read(client, "supporter", bo.code))
    assert f'<a href="{reverse("gifts:payout", args=[Payout.objects.get().pk])}">T1</a>' in page
    assert f'<a href="{reverse("letters:letter", args=[first.pk])}">{first.pk}</a> (void)' in page
    assert f'<a href="{reverse("letters:letter", args=[second.pk])}">{second.pk}</a>' in page
    rows = b"".join(client.get(reverse("gifts:supporter", args=[bo.code]), {"format": "csv"})).decode()
    assert f"{second.pk}, {first.pk} (void)" in rows  # the newest first


def test_a_volunteer_sees_no_names(volunteer: Person, ada: Supporter, client_for: SignIn) -> None:
    assert client_for(volunteer).get(reverse("gifts:supporter", args=[ada.code])).status_code == 403
