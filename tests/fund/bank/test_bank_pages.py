"""Where money lies: in the bank, in the drawer with its age, at the platforms."""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.bank.queries import bank_today
from fund.gifts.actions import add_supporter, record_gift
from fund.gifts.actions_cash import count_cash
from fund.gifts.actions_payout import import_payout
from fund.ledger.actions import add_purpose
from fund.money import Money
from tests.fund.gifts.files import (
    kettle_card,
    kettle_file,
    patch_circle,
    patch_file,
    pledge,
    taken,
    to_bank,
    transfer,
)


@pytest.fixture
def books(treasurer: Person, volunteer: Person, volunteer2: Person) -> None:
    """25.00 of Patch Circle still waits there; 9.00 general and 150.00 for tires came from Kettle Card; 64.00 cash
    of the 5th and a check of the 9th for 50.00 lie in the drawer; 20.00 came by transfer."""
    add_purpose(by=treasurer, code="tires", name="Tires")
    waiting = patch_file(
        pledge("ch1", "03/02/2026", "25.00", to=""),
        pledge("ch0", "03/01/2026", "5.00", to="T0"),
        transfer("T0", "03/03/2026", "5.00"),
    )
    import_payout(by=treasurer, data=waiting, filename="p.csv", layout=patch_circle())
    card = kettle_file(
        taken("c1", "2026-03-04", "9.00"),
        taken("c2", "2026-03-04", "150.00", giver_note_code="tires"),
        to_bank("P1", "2026-03-06", "-159.00"),
    )
    import_payout(by=treasurer, data=card, filename="k.csv", layout=kettle_card())
    count_cash(
        by=volunteer, second=volunteer2, on=date(2026, 3, 5), place="jar", denominations={2000: 3, 100: 4}
    )
    ada = add_supporter(by=treasurer, name="Ada Moss")
    told = {"by": treasurer, "supporter": ada}
    record_gift(kind="check", received_on=date(2026, 3, 9), amount=Money(5000), check_number="7", **told)  # type: ignore[arg-type]
    record_gift(kind="transfer", received_on=date(2026, 3, 10), amount=Money(2000), **told)  # type: ignore[arg-type]


@pytest.mark.usefixtures("books")
def test_money_lies_in_the_bank_in_the_drawer_and_at_platforms() -> None:
    state = bank_today(date(2026, 3, 15))
    assert (str(state.bank), str(state.restricted), str(state.undeposited)) == ("184.00", "150.00", "114.00")
    assert [(one.code, one.age, str(one.amount)) for one in state.waiting] == [
        ("C-0001", 10, "64.00"),
        ("G-00006", 6, "50.00"),
    ]
    held = {one.platform.code: (str(one.balance), one.last_payout) for one in state.clearing}
    assert held == {"kettle-card": ("0.00", date(2026, 3, 6)), "patch-circle": ("25.00", date(2026, 3, 3))}


@pytest.mark.usefixtures("books")
def test_each_line_of_the_bank_shows_what_lay_there_after_it(
    treasurer: Person, client_for: Callable[[Person], Client]
) -> None:
    answer = client_for(treasurer).get(reverse("bank:lines"), {"format": "csv"})
    rows = b"".join(answer).decode().splitlines()
    assert [row.rsplit(",", 1)[1] for row in rows[1:]] == ["184.00", "164.00", "14.00", "5.00"]


@pytest.mark.usefixtures("books")
def test_the_page_says_how_long_cash_has_waited(
    treasurer: Person, client_for: Callable[[Person], Client]
) -> None:
    page = client_for(treasurer).get(reverse("bank:bank")).content.decode()
    assert "The oldest has waited 10 days." in page
    assert "Held by platforms: $25.00" in page
    assert "nobody has compared the books with it" in page


@pytest.mark.parametrize("key", ["0001-01", "1899-12", "2200-01", "9999-12"])
def test_a_month_that_no_book_is_kept_for_is_not_found(
    treasurer: Person, client_for: Callable[[Person], Client], key: str
) -> None:
    assert client_for(treasurer).get(reverse("bank:reconciliation", args=[key])).status_code == 404
    assert client_for(treasurer).get(reverse("bank:platforms"), {"month": key}).status_code == 404


@pytest.mark.usefixtures("books")
@pytest.mark.parametrize("key", ["1900-01", "2199-12"])
def test_the_first_and_the_last_month_there_can_be_have_their_page(
    treasurer: Person, client_for: Callable[[Person], Client], key: str
) -> None:
    assert client_for(treasurer).get(reverse("bank:reconciliation", args=[key])).status_code == 200
