"""What a platform says it holds, read from its own list of movements instead of typed."""

from collections.abc import Callable, Iterator
from datetime import date
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from fund import clock
from fund.access.models import Person
from fund.bank.actions_layouts import save_layout
from fund.bank.actions_platforms import import_platform_balance
from fund.bank.models import PlatformBalance, StatementLayout
from fund.bank.rules import Sheet, balance_on
from fund.bank.rules_csv import CsvSpec
from fund.gifts.models import Platform
from fund.money import Money
from fund.refusal import BadInput, NotAllowed, NotReady
from tests.fund.bank.files import ofx, trn

SignIn = Callable[[Person], Client]
MOVES = b"""Day,Moved,Holds
2026-03-28,25.00,40.00
2026-03-30,-30.00,10.00
2026-03-31,9.50,19.50
2026-04-02,-19.50,0.00
"""


@pytest.fixture(autouse=True)
def after_the_month() -> Iterator[None]:
    with clock.at(date(2026, 4, 3)):
        yield


@pytest.fixture
def layout(treasurer: Person) -> StatementLayout:
    columns = {"date": "Day", "amount": "Moved", "balance": "Holds"}
    return save_layout(by=treasurer, spec=CsvSpec("circle-moves", columns))


def circle() -> Platform:
    return Platform.objects.get(code="patch-circle")


def test_the_balance_is_that_after_the_last_line_of_the_month(
    treasurer: Person, layout: StatementLayout
) -> None:
    told = import_platform_balance(
        by=treasurer, platform=circle(), month="2026-03", data=MOVES, filename="moves.csv", layout=layout
    )
    assert (str(told.amount), told.origin) == ("19.50", "imported")
    assert told.note == "moves.csv, after its line of 2026-03-31"


def test_a_list_that_tells_only_its_closing_is_counted_back(treasurer: Person) -> None:
    rows = [trn("a", "20260330", "12.00"), trn("b", "20260402", "-7.00")]
    told = import_platform_balance(
        by=treasurer, platform=circle(), month="2026-03", data=ofx(rows, "5.00", "20260402"), filename="m.ofx"
    )
    assert str(told.amount) == "12.00"


def test_without_a_balance_in_it_a_file_says_nothing(treasurer: Person) -> None:
    plain = save_layout(by=treasurer, spec=CsvSpec("plain", {"date": "Day", "amount": "Moved"}))
    with pytest.raises(BadInput, match="The file tells no balance"):
        import_platform_balance(
            by=treasurer, platform=circle(), month="2026-03", data=b"Day,Moved\n2026-03-31,1.00\n",
            filename="m.csv", layout=plain,
        )  # fmt: skip
    assert balance_on(Sheet("CSV", ()), date(2026, 3, 31)) is None


@pytest.mark.parametrize(
    ("month", "words"), [("2026-05", "before 2026-05 begins"), ("2026-04", "2026-04 is not over yet")]
)
def test_a_month_that_the_file_does_not_reach_is_refused(
    treasurer: Person, layout: StatementLayout, month: str, words: str
) -> None:
    with pytest.raises((BadInput, NotReady), match=words):
        import_platform_balance(
            by=treasurer, platform=circle(), month=month, data=MOVES, filename="m.csv", layout=layout
        )
    assert not PlatformBalance.objects.exists()


def test_a_balance_that_does_not_follow_is_refused(treasurer: Person, layout: StatementLayout) -> None:
    with pytest.raises(BadInput, match="A line is missing or was changed"):
        import_platform_balance(
            by=treasurer, platform=circle(), month="2026-03", data=MOVES.replace(b"9.50,19.50", b"9.50,19.05"),
            filename="m.csv", layout=layout,
        )  # fmt: skip


def test_only_the_treasurer_brings_it_in(owner: Person, layout: StatementLayout) -> None:
    with pytest.raises(NotAllowed):
        import_platform_balance(
            by=owner, platform=circle(), month="2026-03", data=MOVES, filename="m.csv", layout=layout
        )


def post(client: Client, **told: Any) -> Any:
    return client.post(
        reverse("bank:platform", args=["patch-circle"]), {"month": "2026-03", **told}, follow=True
    )


def test_the_page_reads_the_file_and_shows_it_beside_the_books(
    treasurer: Person, layout: StatementLayout, client_for: SignIn
) -> None:
    client = client_for(treasurer)
    file = SimpleUploadedFile("moves.csv", MOVES, "text/csv")
    page = " ".join(post(client, file=file, layout=layout.pk).content.decode().split())
    assert "Patch Circle held 19.50 at the end of 2026-03, by its own account." in page
    assert '19.50 <span class="soft">imported</span>' in page
    assert PlatformBalance.objects.get().amount == Money(19_50)


def test_the_page_wants_one_of_the_two_and_keeps_what_was_typed(
    treasurer: Person, layout: StatementLayout, client_for: SignIn
) -> None:
    client = client_for(treasurer)
    assert b"Write the balance, or choose the file to read it from." in post(client, note="its page").content
    both = post(client, amount="19.50", file=SimpleUploadedFile("m.csv", MOVES, "text/csv"))
    assert both.status_code == 422
    assert b'value="19.50"' in both.content
    assert not PlatformBalance.objects.exists()
