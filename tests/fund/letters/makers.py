from datetime import date
from typing import Any

from fund.letters.rules import Benefit, GiftFacts, TokenLimits
from fund.money import Money, parse_money

Y2023 = TokenLimits(2023, Money(12_50), Money(62_50), Money(125_00), "Rev. Proc. 2022-38")


def m(text: str) -> Money:
    return parse_money(text)


def benefit(words: str, value: str, cost: str = "", *, logo: bool = False) -> Benefit:
    return Benefit(words, m(value), m(cost or value), logo)


def gift(amount: str, **more: Any) -> GiftFacts:
    fields: dict[str, Any] = {
        "code": "G-00001",
        "on": date(2023, 4, 12),
        "way": "check 1182",
        "deductible": True,
        "limits": Y2023,
    }
    return GiftFacts(given=m(amount), **{**fields, **more})
