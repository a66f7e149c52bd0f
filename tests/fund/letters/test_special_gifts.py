"""What becomes of gifts in letters when they are not plain: with a benefit, held, disputed, a household's own share."""

from datetime import date

import pytest

from fund import clock
from fund.access.models import Person
from fund.gifts.actions import Charge, record_gift
from fund.gifts.actions_benefits import add_benefit
from fund.gifts.actions_disputes import decide_dispute, open_dispute
from fund.gifts.actions_terms import correct_amount, settle_gift
from fund.gifts.models import Platform, Supporter
from fund.gifts.rules_terms import EARMARKED, SHARE
from fund.ledger.actions import add_cost_object
from fund.ledger.models import CostObject
from fund.letters.actions import void_letter, write_anew, write_gift_letter
from fund.letters.queries import to_withdraw, waiting
from fund.refusal import BadInput
from tests.fund.letters.conftest import Give
from tests.fund.letters.makers import m

ON = date(2026, 3, 2)


def test_an_annual_membership_of_a_hundred_twenty_with_a_mug_is_a_gift_of_a_hundred_five(
    treasurer: Person, give: Give, exempt: None
) -> None:
    """The rule of irs.gov, Quid pro quo contributions, on 120.00 with a mug worth 15.00 (above 75, so it must be said)."""
    mug = add_benefit(by=treasurer, name="a travel mug", value=m("15.00"), cost=m("9.00"), bears_name=False)
    gift = give("120.00", ON, benefit=mug)
    assert [found.code for found, _ in waiting()] == [gift.code]
    letter = write_gift_letter(by=treasurer, gift=gift)
    assert (letter.amount, letter.gift_part) == (m("120.00"), m("105.00"))
    assert letter.words["statements"][0] == (
        "In return you received a travel mug, whose value we estimate in good faith at $15.00. The amount you may deduct "
        "is limited to the money you gave less that value: $105.00."
    )


def test_a_mug_with_the_funds_name_below_the_years_limit_leaves_the_gift_whole(
    treasurer: Person, give: Give, exempt: None
) -> None:
    """Rev. Proc. 90-12 with the figures of 2026 (from memory): gift of 69.50 or more, article of 13.90 or less."""
    mug = add_benefit(by=treasurer, name="a mug", value=m("15.00"), cost=m("9.00"), bears_name=True)
    letter = write_gift_letter(by=treasurer, gift=give("120.00", ON, benefit=mug))
    assert letter.gift_part == m("120.00")
    assert "Rev. Proc. 2025-32" in letter.words["source"]


def test_a_gift_for_a_named_person_gets_no_letter_until_its_giver_agrees_to_general_use(
    treasurer: Person, give: Give, exempt: None
) -> None:
    """Pub. 526 as quoted by advisers: nothing "set aside for use by a specific person" is deductible."""
    gift = give("300.00", ON, nature=EARMARKED, terms="for M.'s truck")
    with pytest.raises(BadInput, match="gets no letter") as refused:
        write_gift_letter(by=treasurer, gift=gift)
    assert "not ours yet" in str(refused.value)
    assert waiting() == []
    settle_gift(by=treasurer, gift=gift, on=date(2026, 3, 10), words="letter of March 9: use it for anybody")
    assert write_gift_letter(by=treasurer, gift=gift).amount == m("300.00")


def test_a_households_share_of_its_own_repair_is_no_gift_and_gets_no_letter(
    treasurer: Person, give: Give, exempt: None
) -> None:
    add_cost_object(by=treasurer, code="RO-0001", label="Alder, compact car")
    share = give("40.00", ON, nature=SHARE, terms="Alder", cost_object=CostObject.objects.get())
    with pytest.raises(BadInput) as refused:
        write_gift_letter(by=treasurer, gift=share)
    assert "A household's share of its own repair is not a gift." in str(refused.value)


def test_a_disputed_gift_drops_out_and_comes_back_when_the_dispute_is_won(
    treasurer: Person, anwen: Supporter, exempt: None
) -> None:
    charge = Charge(Platform.objects.get(code="kettle-card"), "c1", processing_fee=m("1.40"))
    gift = record_gift(
        by=treasurer, kind="card", received_on=ON, amount=m("50.00"), supporter=anwen, charge=charge
    )
    letter = write_gift_letter(by=treasurer, gift=gift)
    dispute = open_dispute(by=treasurer, gift=gift, on=date(2026, 3, 10), platform_ref="d1")
    assert [row.number for row in to_withdraw()] == [letter.number]
    void_letter(by=treasurer, letter=letter, reason="in dispute")
    with pytest.raises(BadInput, match="gets no letter"):
        write_anew(by=treasurer, letter=letter)
    with clock.at(date(2026, 4, 20)):
        decide_dispute(
            by=treasurer,
            dispute=dispute,
            on=date(2026, 4, 20),
            won=True,
            words="they saw it",
            platform_ref="w1",
        )
        assert write_anew(by=treasurer, letter=letter).amount == m("50.00")
    assert list(to_withdraw()) == []


def test_a_letter_with_an_amount_that_was_put_right_later_is_to_be_withdrawn(
    treasurer: Person, give: Give
) -> None:
    gift = give("40.00", ON)
    letter = write_gift_letter(by=treasurer, gift=gift)
    correct_amount(by=treasurer, gift=gift, amount=m("400.00"), reason="a nought was missing")
    assert [row.number for row in to_withdraw()] == [letter.number]
    void_letter(by=treasurer, letter=letter, reason="amount")
    assert write_anew(by=treasurer, letter=letter).amount == m("400.00")
