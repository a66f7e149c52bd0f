from dataclasses import replace

import pytest

from fund.money import Money
from fund.refusal import Unbalanced
from reports.month.rules import (
    Holding,
    Ledger,
    PurposeRoll,
    RepairLine,
    Row,
    carry_difference,
    foots,
    ledger_differences,
    repair_differences,
    require_footing,
)


def money(text: str) -> Money:
    whole, cents = text.replace(",", "").split(".")
    return Money(int(whole) * 100 + int(cents))


def pounds(*whole: int) -> list[Money]:
    return [Money(amount * 100) for amount in whole]


def test_a_filed_receipts_and_payments_account_foots() -> None:
    # A CC16a form (Charity Commission for England and Wales) on the public register, year to 31 August 2023:
    # receipts 76,591 and payments 64,211, net 12,380; cash at the start 27,786 and at the end 40,166.
    receipts = pounds(33_639, 21, 29_229, 13_702)
    payments = pounds(18_108, 1_590, 31_386, 6_454, 6_673)
    assert sum(amount.minor for amount in receipts) == 76_591_00
    assert sum(amount.minor for amount in payments) == 64_211_00
    assert not foots(Money(27_786_00), receipts, payments, Money(40_166_00))


def test_a_textbook_statement_foots() -> None:
    # OpenStax, Principles of Accounting vol. 1, 3.5: the cash of Printing Plus in January 2019, from nothing to 24,800.
    money_in = pounds(20_000, 4_000, 2_800, 5_500)
    money_out = pounds(300, 100, 3_500, 3_600)
    assert not foots(Money.zero, money_in, money_out, Money(24_800_00))
    assert foots(Money.zero, money_in, money_out, Money(24_800_01)) == Money(-1)


def march() -> Ledger:
    """The month as a treasurer would type it from its vouchers; nothing here was computed by the program."""
    return Ledger(
        month="2026-03",
        money_in=(
            Row("platform", "Gifts through the membership platform", money("1184.00")),
            Row("card", "Gifts by card", money("640.00")),
            Row("cash", "Gifts in cash", money("212.00")),
            Row("check", "Gifts by check", money("400.00")),
            Row("4010:tires", "Gifts for a stated purpose: tires", money("150.00")),
            Row("4900", "Gifts returned and charged back", -money("60.00")),
        ),
        money_out=(
            Row("5000", "Parts for repairs", money("941.09")),
            Row("5040", "Core deposits lost", money("44.00")),
            Row("5200", "Shop supplies and waste disposal", money("46.10")),
            Row("5300", "Payment fees", money("174.90")),
            Row("5310", "Bank and dispute charges", money("12.00")),
            Row("5500", "Insurance, accountant and other administration", money("118.00")),
        ),
        holdings=(
            Holding("1000", "Bank", money("4182.40"), money("5407.49")),
            Holding("1020", "Petty cash", money("100.00"), money("100.00")),
            Holding("1110", "Core deposits receivable", money("66.00"), Money.zero),
            Holding("1200", "Parts shelf", money("214.75"), money("245.57")),
        ),
        purposes=(
            PurposeRoll(
                "general", "General", False,
                money("4263.15"), money("2376.00"), money("325.42"), money("1336.09"), money("5628.48"),
            ),
            PurposeRoll(
                "tires", "tires", True,
                money("300.00"), money("150.00"), -money("325.42"), Money.zero, money("124.58"),
            ),
        ),
    )  # fmt: skip


def test_a_month_typed_by_hand_foots() -> None:
    assert ledger_differences(march()) == []
    assert march().opening == money("4563.15")
    assert march().total_in == money("2526.00")
    assert march().total_out == money("1336.09")
    assert march().closing == money("5753.06")


def test_a_cent_off_is_named() -> None:
    off = replace(march(), money_out=(*march().money_out, Row("5320", "Cash over or short", Money(1))))
    said = ledger_differences(off)
    assert any("is off closing 5,753.06 by -0.01" in line for line in said)
    with pytest.raises(Unbalanced, match="2026-03 does not foot"):
        require_footing("2026-03", said)


def test_a_purpose_that_does_not_foot_is_named() -> None:
    general, tires = march().purposes
    off = replace(march(), purposes=(general, replace(tires, closing=money("124.57"))))
    assert any(
        "The purpose tires does not foot: it is off by 0.01." in line for line in ledger_differences(off)
    )


def test_an_overdrawn_restriction_is_named() -> None:
    general, tires = march().purposes
    over = replace(tires, released=-money("500.00"), closing=-money("50.00"))
    assert any(
        "The purpose tires is overdrawn by 50.00." in line
        for line in ledger_differences(replace(march(), purposes=(general, over)))
    )


def test_releases_that_do_not_arrive_are_named() -> None:
    general, tires = march().purposes
    off = replace(march(), purposes=(replace(general, released=Money.zero, closing=money("5303.06")), tires))
    assert any("differs by -325.42" in line for line in ledger_differences(off))


def repair(alias: str, cost: str) -> RepairLine:
    costs = (Row("5000", "Parts for repairs", money(cost)),)
    return RepairLine(
        "RO-0001",
        alias,
        "compact car",
        "",
        "",
        "handed back",
        costs,
        money(cost),
        Money.zero,
        Money.zero,
        0,
        None,
    )


def test_repairs_listed_must_add_up_to_the_repair_cost_of_the_ledger() -> None:
    listed = [
        repair("Alder", "182.29"),
        repair("Birch", "232.73"),
        repair("Cedar", "200.65"),
        repair("Elm", "325.42"),
    ]
    assert repair_differences(march(), listed, money("44.00"), ("5000", "5040")) == []
    said = repair_differences(march(), listed[1:], money("44.00"), ("5000", "5040"))
    assert said == ["The repairs listed cost 802.80; the ledger says 985.09: off by 182.29."]


def test_a_month_opens_with_what_the_one_before_closed_with() -> None:
    assert carry_difference(money("4563.15"), money("4563.15")) == []
    assert carry_difference(money("4563.15"), None) == []
    assert "off by 0.15" in carry_difference(money("4563.15"), money("4563.00"))[0]


def test_nothing_to_name_nothing_refused() -> None:
    require_footing("2026-03", [])
