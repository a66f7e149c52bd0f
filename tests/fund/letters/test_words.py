"""The sentences of letters: the three sample cases of Publication 1771, and the fund that is and is not tax-exempt."""

from datetime import date
from typing import Any

import pytest

from fund.letters.rules import GiftFacts
from fund.letters.rules_words import GIFT, YEAR, Earlier, Sender, words_of
from fund.refusal import BadInput
from tests.fund.letters.makers import benefit, gift, m

SENDER = Sender("Larkwater Free Repair Fund", "Larkwater", "", "Odell Price")


def words(*gifts: GiftFacts, kind: str = GIFT, **more: Any) -> dict[str, Any]:
    return words_of(kind, gifts, SENDER, 2023, **more)


def test_three_hundred_in_money_and_nothing_in_return() -> None:
    """IRS Publication 1771, first sample (from memory): cash 300, no goods or services."""
    said = words(gift("300.00"))
    assert said["opening"] == (
        "thank you for your gift of $300.00 to the Larkwater Free Repair Fund in Larkwater on April 12, 2023."
    )
    assert said["statements"][0] == "We gave you no goods or services in return."
    assert said["total"] == ["300.00", "300.00"]


def test_three_hundred_fifty_and_a_cookbook_worth_sixty() -> None:
    """IRS Publication 1771, second sample (from memory): cash 350 and a cookbook worth 60."""
    said = words(gift("350.00", benefit=benefit("a cookbook", "60.00")))
    assert said["statements"][0] == (
        "In return you received a cookbook, whose value we estimate in good faith at $60.00. The amount you may deduct is "
        "limited to the money you gave less that value: $290.00."
    )
    assert said["rows"] == [["2023-04-12", "G-00001", "check 1182", "350.00", "60.00", "290.00"]]
    assert said["columns"] == "parts"


def test_a_crib_and_a_dresser_are_described_and_not_valued() -> None:
    """IRS Publication 1771, third sample (from memory): a used oak crib and dresser."""
    said = words(gift("145.00", goods="a used oak crib and dresser", way="goods"))
    assert "a used oak crib and dresser" in said["opening"]
    assert "We gave you no goods or services in return." in said["statements"]
    assert "145" not in str(said)
    assert any("its value is yours to establish" in line for line in said["statements"])


def test_a_small_benefit_is_told_and_the_whole_amount_counts() -> None:
    said = words(gift("100.00", benefit=benefit("a mug with our name", "20.00", "8.00", logo=True)))
    assert said["statements"][0].endswith("it does not reduce your gift: the whole amount counts.")
    assert said["total"] == ["100.00", "100.00"]
    assert "Rev. Proc. 2022-38, article up to $12.50, gift from $62.50, at most $125.00" in said["source"]


def test_a_fund_that_is_not_tax_exempt_says_so_and_promises_nothing() -> None:
    """The rule of the fund decides; the letter then is a thank-you and nothing more (practice, no source)."""
    said = words(gift("300.00", deductible=False))
    assert said["statements"] == [
        "This is not a tax-deductible gift: the Larkwater Free Repair Fund is not an organization to which such gifts can "
        "be made."
    ]
    assert (said["source"], said["total"]) == ("", ["300.00", "0.00"])
    assert "deduct" not in " ".join(said["closing"])


def test_a_year_in_which_the_fund_became_tax_exempt_tells_the_gifts_apart() -> None:
    early = gift("40.00", code="G-00001", on=date(2023, 2, 1), deductible=False)
    late = gift("60.00", code="G-00002")
    said = words(early, late, kind=YEAR)
    assert said["total"] == ["100.00", "60.00"]
    assert [row[5] for row in said["rows"]] == ["none", "60.00"]
    assert any("G-00001 of February 1, 2023" in line for line in said["statements"])


def test_a_year_names_each_benefit_and_says_nothing_was_given_for_the_others() -> None:
    dinner = gift("100.00", code="G-00002", benefit=benefit("a dinner", "40.00"))
    said = words(gift("20.00"), dinner, gift("5.00", code="G-00003", goods="rags", way="goods"), kind=YEAR)
    assert said["subject"] == "Your gifts of 2023"
    assert "$120.00 in 2 gifts and 1 gift of goods" in said["opening"]
    assert said["statements"][0].startswith("In return for G-00002 you received a dinner,")
    assert said["statements"][1] == "For the other gifts we gave you no goods or services in return."
    assert said["total"] == ["120.00", "80.00"]


def test_a_restricted_gift_names_its_purpose_and_a_part_that_went_back_is_told() -> None:
    said = words(gift("50.00", purpose="Tires", back=m("20.00")))
    assert said["rows"][0][2:4] == ["check 1182, for Tires; 50.00 given, 20.00 of it went back", "30.00"]


def test_a_gift_in_two_letters_says_so() -> None:
    standing = Earlier(7, date(2023, 5, 2), False, ("G-00001",))
    assert words(gift("300.00"), earlier=[standing])["earlier"] == [
        "It also stands in our letter 7 of May 2, 2023; please count it once only."
    ]
    void = Earlier(7, date(2023, 5, 2), True, ("G-00001",))
    assert "takes the place of our letter 7" in words(gift("300.00"), earlier=[void])["earlier"][0]


def test_a_letter_without_a_gift_is_refused() -> None:
    with pytest.raises(BadInput):
        words()


def test_the_giver_is_told_to_ask_their_adviser_and_where_the_rules_stand() -> None:
    said = words(gift("300.00"))
    assert "please ask your tax adviser" in said["closing"][0]
    assert "IRS Publication 1771 (Rev. March 2016)" in said["source"]
