"""The room agrees with the books after every kind of act, and a row changed behind the program's back is named."""

from collections.abc import Iterator
from datetime import date

from fund.access.models import Person
from fund.gifts.actions import Charge, add_supporter, record_gift
from fund.gifts.actions_cash import bank_deposit, count_cash
from fund.gifts.actions_payout import import_payout
from fund.gifts.actions_returns import record_refund, return_check
from fund.gifts.actions_terms import correct_amount
from fund.gifts.models import CashCount, Deposit, Gift, Payout, Platform
from fund.gifts.proofs import clearing_breaks, gift_breaks, payout_breaks, undeposited_breaks
from fund.money import Money
from fund.proofs import prove
from tests.fund.gifts.files import patch_circle, patch_file, pledge, sent_back, transfer


def breaks() -> Iterator[str]:
    yield from undeposited_breaks()
    yield from clearing_breaks()
    yield from payout_breaks()
    yield from gift_breaks()


def live(treasurer: Person, volunteer: Person, volunteer2: Person) -> None:
    data = patch_file(
        pledge("ch1", "03/02/2026", "25.00", "2.00", "1.03", **{"Member No": "m1"}),
        pledge("f1", "03/02/2026", "7.00", What="Service cost"),
        sent_back("rf1", "03/05/2026", "5.00", of="ch1", **{"Card Cost": "0.30"}),
        pledge("ch2", "03/07/2026", "9.00", "0.72", to=""),
        transfer("T1", "03/06/2026", "9.67"),
    )
    import_payout(by=treasurer, data=data, filename="f.csv", layout=patch_circle())
    ada = add_supporter(by=treasurer, name="Ada Moss")
    told = {"by": treasurer, "received_on": date(2026, 3, 2), "amount": Money(5000)}
    checks = [record_gift(kind="check", supporter=ada, check_number=n, **told) for n in ("1", "2", "3")]  # type: ignore[arg-type]
    charge = Charge(Platform.objects.get(code="kettle-card"), "c1", processing_fee=Money(145))
    card = record_gift(kind="card", charge=charge, **told)  # type: ignore[arg-type]
    pieces = {2000: 3}
    kept = {
        "by": volunteer,
        "second": volunteer2,
        "on": date(2026, 3, 3),
        "place": "jar",
        "denominations": pieces,
    }
    counts = [count_cash(**kept), count_cash(**kept)]  # type: ignore[arg-type]
    bank_deposit(by=treasurer, on=date(2026, 3, 4), counts=counts[:1], gifts=checks[:2])
    return_check(by=treasurer, gift=checks[0], on=date(2026, 3, 9), bank_fee=Money(1200))
    record_refund(by=treasurer, gift=card, on=date(2026, 3, 9), reason="asked", platform_ref="r1")


def test_the_room_agrees_with_the_books(treasurer: Person, volunteer: Person, volunteer2: Person) -> None:
    live(treasurer, volunteer, volunteer2)
    assert list(breaks()) == []


def test_what_was_changed_by_hand_is_named(treasurer: Person, volunteer: Person, volunteer2: Person) -> None:
    live(treasurer, volunteer, volunteer2)
    CashCount.objects.filter(code="C-0001").update(total=Money(5900))
    Gift.objects.filter(platform_ref="ch2").update(amount=Money(1000))
    Gift.objects.filter(platform_ref="ch1").update(platform_fee=Money(100))
    Payout.objects.update(gross=Money(2600), net=Money(1067))
    changed = Gift.objects.get(platform_ref="ch2")
    assert list(breaks()) == [
        f"{Deposit.objects.get().code} is 160.00, but its counts and checks add up to 159.00.",
        "Patch Circle: rows not paid out come to 9.28, but account 1031 holds 8.28.",
        "Payout T1 says 26.00 - 10.33 - 5.00, its rows say 25.00 - 9.33 - 5.00.",
        "Payout T1 is 10.67, but 9.67 went to the bank.",
        f"Entry {changed.entry_id} brought in 9.00, but its gifts ({changed.code}) come to 10.00.",
    ]


def test_a_bank_transfer_edited_away_from_its_entry_is_named(treasurer: Person) -> None:
    """Nothing else in the room adds up transfers: they lie in the bank at once."""
    ada = add_supporter(by=treasurer, name="Ada Moss")
    gift = record_gift(
        by=treasurer, kind="transfer", supporter=ada, received_on=date(2026, 3, 2), amount=Money(5000)
    )
    assert [line for line in prove().breaks if "Entry" in line] == []
    Gift.objects.filter(pk=gift.pk).update(amount=Money(50000))
    said = f"Entry {gift.entry_id} brought in 50.00, but its gifts ({gift.code}) come to 500.00."
    assert said in prove().breaks


def test_a_gift_edited_after_its_amount_was_corrected_is_named(treasurer: Person) -> None:
    ada = add_supporter(by=treasurer, name="Ada Moss")
    gift = record_gift(
        by=treasurer, kind="transfer", supporter=ada, received_on=date(2026, 3, 2), amount=Money(5000)
    )
    correct_amount(by=treasurer, gift=gift, amount=Money(5500), reason="the bank says 55")
    assert list(gift_breaks()) == []
    Gift.objects.filter(pk=gift.pk).update(amount=Money(5000))
    assert list(gift_breaks()) == [f"{gift.code} is 50.00, but it was corrected to 55.00."]
