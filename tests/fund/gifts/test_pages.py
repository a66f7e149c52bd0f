"""The pages of the gifts room, as the crew use them."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.gifts.actions import add_supporter, record_gift
from fund.gifts.actions_payout import import_payout, keep_file
from fund.gifts.models import CashCount, Deposit, Gift, Layout, Payout, PayoutFile, Supporter
from fund.ledger.models import Entry
from fund.money import Money
from fund.receipts.models import ShelfLot
from tests.fund.gifts.files import patch_circle, patch_file, pledge, sent_back, transfer

GOOD = patch_file(
    pledge("ch1", "03/02/2026", "25.00", "2.00", "1.03", Member="Ada Moss", **{"Member No": "m1"}),
    pledge("ch2", "03/03/2026", "10.00", "0.80", "0.59", Member="Bo Finch", **{"Member No": "m2"}),
    sent_back("rf1", "03/05/2026", "10.00", of="ch2"),
    transfer("T1", "03/06/2026", "20.58"),
)
OFF = GOOD.replace(b"20.58", b"20.57")
SignIn = Callable[[Person], Client]


def upload(client: Client, data: bytes, name: str = "march.csv") -> Any:
    file = SimpleUploadedFile(name, data, "text/csv")
    return client.post(reverse("gifts:payout-upload"), {"layout": patch_circle().pk, "file": file})


def text_of(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def test_a_payout_goes_from_upload_over_its_preview_to_the_books(
    treasurer: Person, client_for: SignIn
) -> None:
    client = client_for(treasurer)
    answer = upload(client, GOOD)
    file = PayoutFile.objects.get()
    assert answer["Location"] == reverse("gifts:payout-file", args=[file.pk])
    page = text_of(client.get(answer["Location"]))
    assert "The payout says $20.58, to the cent." in page
    assert "4 new" in page
    assert not Entry.objects.exists()
    posted = client.post(reverse("gifts:payout-post", args=[file.pk]), follow=True)
    assert "march.csv: 4 posted, 0 already booked." in text_of(posted)
    assert "How it comes to the bank line" in text_of(posted)
    assert str(Payout.objects.get().net) == "20.58"
    file.refresh_from_db()
    assert file.posted_at is not None


def test_a_payout_that_is_off_is_shown_and_cannot_be_posted(treasurer: Person, client_for: SignIn) -> None:
    client = client_for(treasurer)
    file_page = upload(client, OFF)["Location"]
    page = text_of(client.get(file_page))
    assert "but the payout says 20.57: 0.01 too little." in page
    assert "Post this file" not in page
    file = PayoutFile.objects.get()
    answer = text_of(client.post(reverse("gifts:payout-post", args=[file.pk]), follow=True))
    assert "The payout file is refused and nothing was posted." in answer
    assert not Entry.objects.exists()
    client.post(reverse("gifts:payout-drop", args=[file.pk]))
    assert not PayoutFile.objects.exists()


def test_a_file_that_cannot_be_read_comes_back_with_the_reason(treasurer: Person, client_for: SignIn) -> None:
    client = client_for(treasurer)
    answer = upload(client, b"Charge No,Tip\n1,2\n")
    assert answer.status_code == 422
    assert "The layout does not know the column “Tip”." in text_of(answer)
    large = upload(client, b"x" * (10 * 1024 * 1024 + 1))
    assert "a payout file is read up to 10 MB" in text_of(large)
    assert not PayoutFile.objects.exists()


def test_a_file_posted_before_says_so(treasurer: Person, client_for: SignIn) -> None:
    import_payout(by=treasurer, data=GOOD, filename="march.csv", layout=patch_circle())
    client = client_for(treasurer)
    page = text_of(client.get(upload(client, GOOD)["Location"]))
    assert "Everything in this file is already booked" in page
    file = PayoutFile.objects.get()
    dropped = text_of(client.post(reverse("gifts:payout-drop", args=[file.pk]), follow=True))
    assert "is posted and stays with its payouts" in dropped


def test_rows_of_the_preview_can_be_narrowed_and_taken_out(treasurer: Person, client_for: SignIn) -> None:
    file = keep_file(by=treasurer, data=GOOD + b"x,y\n", filename="f.csv", layout=patch_circle())
    client, address = client_for(treasurer), reverse("gifts:payout-file", args=[file.pk])
    assert "has 2 cells where the header has 13." in text_of(client.get(address, {"fate": "refused"}))
    lines = client.get(address, {"format": "csv"})
    assert len(b"".join(lines).decode().splitlines()) == 6


def gift_form(**more: str) -> dict[str, str]:
    told = {"kind": "check", "supporter": "Ada Moss", "new_supporter": "on", "amount": "50.00"}
    return {
        **told,
        "received_on": "2026-03-02",
        "purpose": "general",
        "check_number": "1043",
        "unit": "each",
        **more,
    }


def test_a_gift_by_hand_with_a_new_supporter(treasurer: Person, client_for: SignIn) -> None:
    answer = client_for(treasurer).post(reverse("gifts:gift-new"), gift_form())
    gift = Gift.objects.get()
    assert answer["Location"] == reverse("gifts:gift", args=[gift.code])
    assert (gift.supporter, gift.amount, gift.check_number) == (Supporter.objects.get(), Money(5000), "1043")


def test_a_very_large_gift_is_asked_about_once_and_never_stopped(
    treasurer: Person, client_for: SignIn
) -> None:
    client, large = client_for(treasurer), gift_form(amount="1,000,000.01")
    assert "is right" not in text_of(client.get(reverse("gifts:gift-new")))
    answer = client.post(reverse("gifts:gift-new"), large)
    page = text_of(answer)
    assert answer.status_code == 422
    assert "1,000,000.01 is a great deal. If it is right, tick this and book it." in page
    assert "This amount above 1,000,000.00 is right" in page
    assert 'value="1,000,000.01"' in page
    assert not Gift.objects.exists()
    assert client.post(reverse("gifts:gift-new"), large | {"large": "on"}).status_code == 302
    assert Gift.objects.get().amount == Money(100_000_001)


def test_a_million_is_not_asked_about(treasurer: Person, client_for: SignIn) -> None:
    answer = client_for(treasurer).post(reverse("gifts:gift-new"), gift_form(amount="1,000,000.00"))
    assert answer.status_code == 302


def test_a_gift_form_with_something_wrong_keeps_all_that_was_typed(
    treasurer: Person, client_for: SignIn
) -> None:
    wrong = gift_form(new_supporter="", supporter="Nobody Known", amount="5O", check_number="77")
    answer = client_for(treasurer).post(reverse("gifts:gift-new"), wrong)
    page = text_of(answer)
    assert answer.status_code == 422
    assert "Nobody is written down as “Nobody Known”." in page
    assert "“5O” is not an amount of money." in page
    for typed in ('value="Nobody Known"', 'value="5O"', 'value="77"', 'value="2026-03-02"'):
        assert typed in page
    assert not Gift.objects.exists()


def test_a_new_supporter_is_not_kept_when_the_gift_is_refused(treasurer: Person, client_for: SignIn) -> None:
    answer = client_for(treasurer).post(reverse("gifts:gift-new"), gift_form(check_number=""))
    assert "Write the number of the check." in text_of(answer)
    assert not Supporter.objects.exists()


def test_two_supporters_of_one_name_are_told_apart_by_code(treasurer: Person, client_for: SignIn) -> None:
    for mail in ("a@example.org", "b@example.org"):
        add_supporter(by=treasurer, name="Ada Moss", email=mail)
    client = client_for(treasurer)
    answer = client.post(reverse("gifts:gift-new"), gift_form(new_supporter=""))
    assert "Several supporters fit: Ada Moss (S-0001), Ada Moss (S-0002). Write the code." in text_of(answer)
    client.post(reverse("gifts:gift-new"), gift_form(new_supporter="", supporter="s-0002"))
    assert Gift.objects.get().supporter == Supporter.objects.get(code="S-0002")


def test_a_given_part_goes_to_the_shelf(treasurer: Person, client_for: SignIn) -> None:
    part = {"goods_account": "1200", "item": "alternator", "quantity": "1", "note": "alternator, boxed"}
    client_for(treasurer).post(reverse("gifts:gift-new"), gift_form(kind="goods", amount="215.00", **part))
    assert str(ShelfLot.objects.get().cost) == "215.00"


def count_form(**more: str) -> dict[str, str]:
    told = {"on": "2026-03-14", "place": "jar", "face_2000": "3", "face_100": "4"}
    return {**told, "second_name": "tavi", "second_password": "long road to the mill", **more}


def test_two_people_count_on_one_page(owner: Person, volunteer: Person, client_for: SignIn) -> None:
    answer = client_for(owner).post(reverse("gifts:count-new"), count_form(), follow=True)
    found = CashCount.objects.get()
    assert (found.counted_by, found.second_by, str(found.total)) == (owner, volunteer, "64.00")
    assert "Maren Holt and Tavi Brandt" in text_of(answer)


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"second_password": "guessed"}, "name and password do not go together"),
        ({"second_name": "maren"}, "It takes two different people to count cash."),
        ({"face_2000": "-3"}, "This must be 0 or more."),
    ],
)
def test_a_count_refused_keeps_the_figures_and_never_shows_a_password(
    owner: Person, volunteer: Person, client_for: SignIn, more: dict[str, str], sentence: str
) -> None:
    answer = client_for(owner).post(reverse("gifts:count-new"), count_form(**more))
    page = text_of(answer)
    assert sentence in page
    assert 'name="face_100" value="4"' in page
    assert "long road to the mill" not in page
    assert not CashCount.objects.exists()


def test_chosen_counts_and_checks_go_to_the_bank(
    treasurer: Person, owner: Person, volunteer: Person, client_for: SignIn
) -> None:
    client_for(owner).post(reverse("gifts:count-new"), count_form())
    check = record_gift(
        by=treasurer,
        kind="check",
        received_on=date(2026, 3, 10),
        amount=Money(5000),
        supporter=add_supporter(by=treasurer, name="Ada Moss"),
        check_number="1043",
    )
    client = client_for(treasurer)
    bank = text_of(client.get(reverse("bank:bank")))
    assert "Not yet banked: $114.00" in bank
    assert "Check 1043 of Ada Moss" in bank
    told = {"on": "2026-03-15", "chosen": ["C-0001", check.code]}
    page = text_of(client.post(reverse("gifts:deposit-new"), told, follow=True))
    assert "D-0001: $114.00 is banked." in page
    assert str(Deposit.objects.get().total) == "114.00"
    lines = text_of(client.get(reverse("bank:lines")))
    assert "114.00" in lines


def test_a_check_comes_back_by_its_own_page(treasurer: Person, client_for: SignIn) -> None:
    client = client_for(treasurer)
    client.post(reverse("gifts:gift-new"), gift_form())
    gift = Gift.objects.get()
    client.post(reverse("gifts:deposit-new"), {"on": "2026-03-10", "chosen": [gift.code]})
    told = {"on": "2026-03-13", "bank_fee": "12.00", "reason": "no funds"}
    page = text_of(client.post(reverse("gifts:check-returned", args=[gift.code]), told, follow=True))
    assert "Returned check" in page
    assert "with a charge of $12.00" in page


def layout_form(layout: Layout) -> dict[str, str]:
    spec = layout.spec
    told = {f"column_{field}": header for field, header in spec.columns.items()}
    pairs = {"fees": spec.fees, "words": spec.words, "purposes": spec.purposes}
    told |= {name: "\n".join(f"{a} = {b}" for a, b in found.items()) for name, found in pairs.items()}
    told |= {
        name: getattr(spec, name)
        for name in ("name", "signs", "date_order", "decimal_mark", "delimiter", "encoding")
    }
    lists = {"ignored": ", ".join(spec.ignored), "hidden_words": ", ".join(spec.hidden_words)}
    return {**told, **lists, "platform": str(layout.platform_id)}


def test_a_layout_is_edited_and_comes_out_as_it_went_in(treasurer: Person, client_for: SignIn) -> None:
    layout = patch_circle()
    client, address = client_for(treasurer), reverse("gifts:layout", args=[layout.name])
    assert 'value="Pledge Paid"' in text_of(client.get(address))
    client.post(address, layout_form(layout))
    assert patch_circle().spec == layout.spec
    wrong = client.post(address, {**layout_form(layout), "words": "pledge gift"})
    assert "“pledge gift” is not of the form: word = meaning." in text_of(wrong)


def test_a_platform_is_taken_up_with_its_clearing_account(treasurer: Person, client_for: SignIn) -> None:
    told = {"name": "Millpond Pay", "code": "millpond", "kind": "card"}
    page = text_of(client_for(treasurer).post(reverse("gifts:platform-new"), told, follow=True))
    assert "Millpond Pay is taken up, with clearing account 1033." in page


def test_lists_ask_the_same_few_questions_however_long(
    treasurer: Person, client_for: SignIn, django_assert_max_num_queries: Any
) -> None:
    rows = [
        pledge(f"ch{n}", "03/02/2026", "5.00", Member=f"Member {n}", **{"Member No": f"m{n}"})
        for n in range(60)
    ]
    data = patch_file(*rows, transfer("T1", "03/06/2026", "300.00"))
    import_payout(by=treasurer, data=data, filename="f.csv", layout=patch_circle())
    client = client_for(treasurer)
    names = ("gifts", "supporters", "payouts", "counts", "layouts")
    for address in [reverse(f"gifts:{name}") for name in names] + [
        reverse("bank:bank"),
        reverse("bank:lines"),
    ]:
        with django_assert_max_num_queries(12, info=address):
            assert client.get(address).status_code == 200
