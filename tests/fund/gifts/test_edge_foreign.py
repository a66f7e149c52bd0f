"""Gifts in other currencies: worth what they were worth on their day."""

from datetime import date

import pytest

from fund.access.models import Person
from fund.gifts.actions_layouts import save_layout
from fund.gifts.actions_payout import PayoutImport, import_payout
from fund.gifts.actions_platforms import write_rate
from fund.gifts.models import Gift, GiftForeign, GiftReturn, Layout, Payout, Platform
from fund.gifts.proofs import clearing_breaks, payout_breaks
from fund.gifts.rules_exchange import rate_words, read_rate, share_of, value_of
from fund.gifts.rules_layout import LayoutSpec
from fund.ledger.models import Entry
from fund.ledger.queries import balance
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput
from tests.fund.gifts.files import lines_of, text_of

HEADER = ["id", "day", "what", "usd", "cur", "given", "rate", "payout", "of"]


@pytest.fixture
def layout(treasurer: Person) -> Layout:
    spec = LayoutSpec(
        name="abroad",
        columns={
            "ref": "id",
            "date": "day",
            "type": "what",
            "amount": "usd",
            "currency": "cur",
            "foreign": "given",
            "rate": "rate",
            "payout": "payout",
            "gift_ref": "of",
        },
        fees={},
        words={
            "gift": "gift",
            "back": "refund",
            "bank": "payout",
            "won": "dispute won",
            "taken": "chargeback",
        },
        purposes={},
    )
    return save_layout(by=treasurer, platform=Platform.objects.get(code="kettle-card"), spec=spec)


def post(by: Person, layout: Layout, *rows: tuple[str, ...]) -> PayoutImport:
    data = text_of(HEADER, [dict(zip(HEADER, row, strict=True)) for row in rows])
    return import_payout(by=by, data=data, filename="abroad.csv", layout=layout)


def nothing_breaks() -> None:
    assert [*clearing_breaks(), *payout_breaks()] == []


GIFT = ("g1", "2026-03-02", "gift", "21.32", "EUR", "20.00", "1.0850", "P1", "")


def test_a_foreign_gift_is_worth_what_it_was_on_its_day(treasurer: Person, layout: Layout) -> None:
    home = ("g2", "2026-03-02", "gift", "5.00", "USD", "", "", "P1", "")
    done = post(treasurer, layout, GIFT, home, ("b1", "2026-03-05", "bank", "26.32", "", "", "", "P1", ""))
    assert lines_of(Entry.objects.get(number=done.entries[0])) == [
        ("1032", "general", "26.70", ""),
        ("4000", "general", "-21.70", ""),
        ("4000", "general", "-5.00", ""),
        ("4070", "general", "0.38", ""),
        ("1032", "general", "-0.38", ""),
    ]
    gift = Gift.objects.get(platform_ref="g1")
    told = GiftForeign.objects.get()
    assert (str(gift.amount), str(gift.exchange)) == ("21.70", "0.38")
    assert (told.currency, told.amount, told.rate_millionths, told.rate_on) == (
        "EUR",
        2000,
        1_085_000,
        date(2026, 3, 2),
    )
    assert str(Payout.objects.get().exchange) == "0.38"
    assert balance("1032") == Money.zero
    nothing_breaks()


def test_a_foreign_gift_refunded_at_another_rate(treasurer: Person, layout: Layout) -> None:
    post(treasurer, layout, GIFT, ("b1", "2026-03-05", "bank", "21.32", "", "", "", "P1", ""))
    back = ("r1", "2026-03-08", "back", "22.00", "EUR", "20.00", "", "P2", "g1")
    done = post(treasurer, layout, back, ("b2", "2026-03-09", "bank", "-22.00", "", "", "", "P2", ""))
    assert lines_of(Entry.objects.get(number=done.entries[0])) == [
        ("4900", "general", "21.70", ""),
        ("1032", "general", "-21.70", ""),
        ("4070", "general", "0.30", ""),
        ("1032", "general", "-0.30", ""),
    ]
    returned = GiftReturn.objects.get()
    assert (str(returned.amount), str(returned.exchange)) == ("21.70", "0.30")
    nothing_breaks()


def test_a_rate_the_file_does_not_tell_is_written_down_first(treasurer: Person, layout: Layout) -> None:
    rows = (
        ("g1", "2026-03-02", "gift", "21.32", "EUR", "20.00", "", "P1", ""),
        ("b1", "2026-03-05", "bank", "21.32", "", "", "", "P1", ""),
    )
    with pytest.raises(BadInput) as caught:
        post(treasurer, layout, *rows)
    assert caught.value.details == [
        "Row 2: the rate of EUR on 2026-03-02 is not known. Write the rate of that day under Rates, then try again."
    ]
    write_rate(
        by=treasurer, currency="eur", on=date(2026, 3, 1), rate_millionths=1_085_000, source="the bank's page"
    )
    write_rate(
        by=treasurer, currency="EUR", on=date(2026, 3, 3), rate_millionths=1_200_000, source="the bank's page"
    )
    post(treasurer, layout, *rows)
    assert str(Gift.objects.get().amount) == "21.70"
    again = post(treasurer, layout, *rows)
    assert again.posted == 0
    with pytest.raises(AlreadyDone, match="There is a rate of EUR for 2026-03-01 already"):
        write_rate(by=treasurer, currency="EUR", on=date(2026, 3, 1), rate_millionths=1, source="x")


def test_a_foreign_gift_goes_back_in_parts_and_never_for_a_cent_more(
    treasurer: Person, layout: Layout
) -> None:
    post(
        treasurer,
        layout,
        GIFT,
        ("r1", "2026-03-03", "back", "5.00", "EUR", "5.00", "", "P1", "g1"),
        ("r2", "2026-03-04", "back", "16.50", "EUR", "15.00", "", "P1", "g1"),
        ("b1", "2026-03-07", "bank", "-0.18", "", "", "", "P1", ""),
    )
    rows = [(str(row.amount), str(row.exchange)) for row in GiftReturn.objects.order_by("pk")]
    assert rows == [("5.43", "-0.43"), ("16.27", "0.23")]
    assert balance("1032") == Money.zero
    nothing_breaks()


def test_a_dispute_over_a_foreign_gift_is_won_at_another_rate(treasurer: Person, layout: Layout) -> None:
    done = post(
        treasurer,
        layout,
        GIFT,
        ("d1", "2026-03-04", "taken", "22.00", "EUR", "20.00", "", "P1", "g1"),
        ("w1", "2026-03-06", "won", "21.50", "EUR", "20.00", "", "P1", "g1"),
        ("b1", "2026-03-07", "bank", "20.82", "", "", "", "P1", ""),
    )
    assert lines_of(Entry.objects.get(number=done.entries[2])) == [
        ("4900", "general", "-21.70", ""),
        ("1032", "general", "21.70", ""),
        ("4070", "general", "0.20", ""),
        ("1032", "general", "-0.20", ""),
    ]
    assert balance("1032") == Money.zero
    nothing_breaks()


def test_more_than_was_given_abroad_never_goes_back(treasurer: Person, layout: Layout) -> None:
    with pytest.raises(BadInput) as caught:
        post(treasurer, layout, GIFT, ("r1", "2026-03-03", "back", "30.00", "EUR", "25.00", "", "", "g1"))
    assert "Row 3: 25.00 EUR would go back of a gift of 20.00 (g1)." in caught.value.details


@pytest.mark.parametrize(
    ("text", "millionths"), [("1.0850", 1_085_000), ("1", 1_000_000), ("0.000001", 1), ("151.2", 151_200_000)]
)
def test_a_rate_is_read_in_whole_millionths(text: str, millionths: int) -> None:
    assert read_rate(text) == millionths


@pytest.mark.parametrize("text", ["", "0", "-1.1", "1.0850001", "1,0850", "one", "1e3"])
def test_what_is_no_rate_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        read_rate(text)


def test_values_and_shares_are_to_the_cent() -> None:
    assert value_of(Money(2000), 1_085_000) == Money(2170)
    assert value_of(Money(1), 500_000) == Money(1)  # half a cent goes up
    assert share_of(Money(2170), Money(2000), Money(2000)) == Money(2170)
    assert rate_words(1_085_000) == "1.0850"
    assert rate_words(1) == "0.000001"
