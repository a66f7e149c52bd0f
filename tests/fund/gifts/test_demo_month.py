"""A whole month of gifts that ties to the bank, as two platforms, a jar and three checks bring it in."""

from datetime import date

from fund import clock
from fund.access.models import Person
from fund.gifts.actions import add_supporter, record_gift
from fund.gifts.actions_cash import bank_deposit, count_cash
from fund.gifts.actions_payout import import_payout
from fund.gifts.actions_returns import return_check
from fund.gifts.models import Gift, Payout, Supporter
from fund.ledger.actions import add_purpose
from fund.ledger.models import Line
from fund.ledger.queries import balance
from fund.money import Money, total
from tests.fund.gifts.files import (
    demo_card_rows,
    demo_patch_rows,
    kettle_card,
    kettle_file,
    money,
    patch_circle,
    patch_file,
)


def test_a_month_of_gifts_ties_to_the_bank(treasurer: Person, volunteer: Person, volunteer2: Person) -> None:
    with clock.at(date(2026, 4, 1)):
        add_purpose(by=treasurer, code="tires", name="Tires", giver_words="for tires")
        import_payout(
            by=treasurer, data=patch_file(*demo_patch_rows()), filename="march.csv", layout=patch_circle()
        )
        import_payout(
            by=treasurer, data=kettle_file(*demo_card_rows()), filename="card.csv", layout=kettle_card()
        )
        count = count_cash(
            by=volunteer,
            second=volunteer2,
            on=date(2026, 3, 14),
            place="open bay day",
            denominations={2000: 7, 1000: 5, 500: 4, 100: 2},
        )
        checks = [
            record_gift(
                by=treasurer,
                kind="check",
                received_on=date(2026, 3, day),
                amount=money(amount),
                supporter=add_supporter(by=treasurer, name=f"Check writer {day}"),
                check_number=str(100 + day),
            )
            for day, amount in ((3, "50.00"), (5, "250.00"), (9, "100.00"))
        ]
        deposit = bank_deposit(by=treasurer, on=date(2026, 3, 16), counts=[count], gifts=checks)
        return_check(
            by=treasurer, gift=checks[0], on=date(2026, 3, 23), bank_fee=money("12.00"), reason="no funds"
        )

    payout = Payout.objects.get(ref="T3")
    figures = (payout.gross, payout.platform_fee, payout.processing_fee, payout.refunds, payout.net)
    assert [str(figure) for figure in figures] == ["1,184.00", "94.72", "58.30", "10.00", "1,020.98"]
    assert Gift.objects.filter(payout=payout).values("supporter").distinct().count() == 86
    assert str(Payout.objects.get(ref="P3").net) == "768.12"
    assert str(deposit.total) == "612.00"

    assert balance("1030") == Money.zero
    assert balance("1010") == Money.zero
    assert str(-balance("4000")) == "2,436.00"
    assert str(-balance("4010")) == "150.00"
    assert str(balance("4900")) == "60.00"
    assert str(balance("5300")) == "174.90"
    assert str(balance("5310")) == "12.00"
    assert str(balance("1000")) == "2,339.10"  # 1,020.98 + 768.12 + 612.00 - 50.00 - 12.00
    assert str(balance("1000", purpose="tires")) == "150.00"
    assert total(Line.objects.values_list("amount", flat=True)) == Money.zero


def test_gifts_carry_their_own_fees_and_their_supporter(treasurer: Person) -> None:
    with clock.at(date(2026, 4, 1)):
        import_payout(
            by=treasurer, data=patch_file(*demo_patch_rows()), filename="march.csv", layout=patch_circle()
        )
    gifts = Gift.objects.filter(kind="platform")
    assert str(total(gift.amount for gift in gifts)) == "1,184.00"
    assert str(total(gift.platform_fee for gift in gifts)) == "94.72"
    assert str(total(gift.processing_fee for gift in gifts)) == "58.30"
    supporter = Supporter.objects.get(email="m86@example.org")
    assert (supporter.code, supporter.name) == ("S-0086", "Member 86")
    assert supporter.gifts.get().code == "G-00086"
