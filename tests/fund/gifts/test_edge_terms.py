"""Money that is not ours yet: a condition, a named person, a giver nobody knows. And money that is no gift."""

from datetime import date

import pytest

from fund.access.models import Person
from fund.commitments.queries import position
from fund.gifts.actions import Charge, record_gift
from fund.gifts.actions_payout import import_payout
from fund.gifts.actions_returns import record_refund
from fund.gifts.actions_terms import hold_back_gift, resolve_by, settle_gift
from fund.gifts.models import Gift, Platform, Supporter
from fund.gifts.proofs import waiting_breaks
from fund.gifts.queries import facts_of
from fund.gifts.queries_open import overdue, unsettled
from fund.ledger.actions import add_cost_object, add_purpose
from fund.ledger.models import Entry
from fund.ledger.queries import balance, balances
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotReady
from tests.fund.gifts.cases import ON, by_card, by_transfer, supporter
from tests.fund.gifts.files import kettle_card, kettle_file, lines_of, taken, to_bank

DAY = date(2026, 3, 14)


@pytest.fixture
def ada(treasurer: Person) -> Supporter:
    return supporter(treasurer)


def marked(by: Person, ada: Supporter | None, nature: str, terms: str, cents: int = 10000) -> Gift:
    return record_gift(
        by=by,
        kind="transfer",
        received_on=ON,
        amount=Money(cents),
        supporter=ada,
        nature=nature,
        terms=terms,
    )


def through_a_card(by: Person, ada: Supporter) -> Gift:
    """“For M.'s truck”, through the processor."""
    data = kettle_file(taken("c1", "2026-03-02", "100.00", to="", receipt_email="ada@example.org"))
    import_payout(by=by, data=data, filename="c.csv", layout=kettle_card())
    gift = Gift.objects.get()
    Gift.objects.filter(pk=gift.pk).update(supporter=ada)
    return gift


def test_a_gift_for_a_named_persons_truck_waits_as_refundable(treasurer: Person, ada: Supporter) -> None:
    gift = marked(treasurer, ada, "earmarked", "for M.'s truck")
    assert lines_of(gift.entry) == [
        ("1000", "general", "100.00", ""),
        ("2030", "general", "-100.00", "S-0001"),
    ]
    assert position().free_to_commit == Money(-100_000)  # the bank holds it, and none of it may be promised
    assert facts_of(gift).why_not == "It is not ours yet: no letter until that is settled."
    settled = settle_gift(
        by=treasurer, gift=gift, on=DAY, words="“use it where it is needed”, letter of 2026-03-13"
    )
    assert lines_of(settled.entry) == [
        ("2030", "general", "100.00", "S-0001"),
        ("4000", "general", "-100.00", "S-0001"),
    ]
    assert facts_of(Gift.objects.get()).state == "standing"
    assert list(waiting_breaks()) == []
    with pytest.raises(AlreadyDone, match="is settled"):
        settle_gift(by=treasurer, gift=gift, on=DAY, words="again")


def test_a_giver_who_refuses_gets_the_money_back_the_way_it_came(treasurer: Person, ada: Supporter) -> None:
    gift = by_card(treasurer, 10000, giver=ada)
    held = hold_back_gift(by=treasurer, gift=gift, nature="earmarked", terms="for M.'s truck", on=ON)
    assert lines_of(Entry.objects.latest("number")) == [
        ("4000", "general", "100.00", "S-0001"),
        ("2030", "general", "-100.00", "S-0001"),
    ]
    back = record_refund(
        by=treasurer, gift=held, on=DAY, reason="wants it for M. or not at all", platform_ref="r1"
    )
    assert lines_of(back.entry) == [
        ("2030", "general", "100.00", "S-0001"),
        ("1032", "general", "-100.00", ""),
    ]
    assert (balance("2030"), balance("4900")) == (Money.zero, Money.zero)
    assert facts_of(Gift.objects.get()).state == "refunded"
    assert list(unsettled()) == []
    assert list(waiting_breaks()) == []


def test_a_platform_gift_booked_by_hand_for_a_named_person_never_touches_income(
    treasurer: Person, ada: Supporter
) -> None:
    charge = Charge(Platform.objects.get(code="kettle-card"), "c9")
    gift = record_gift(
        by=treasurer,
        kind="card",
        received_on=ON,
        amount=Money(10000),
        supporter=ada,
        charge=charge,
        nature="earmarked",
        terms="for M.'s truck",
    )
    assert lines_of(gift.entry) == [
        ("1032", "general", "100.00", ""),
        ("2030", "general", "-100.00", "S-0001"),
    ]


def test_what_a_file_brought_as_a_gift_is_held_back_when_it_turns_out_to_be_for_somebody(
    treasurer: Person, ada: Supporter
) -> None:
    gift = through_a_card(treasurer, ada)
    hold_back_gift(by=treasurer, gift=gift, nature="earmarked", terms="for M.'s truck", on=ON)
    assert (balance("4000"), str(balance("2030"))) == (Money.zero, "-100.00")
    import_payout(  # the payout still finds its gift
        by=treasurer,
        data=kettle_file(
            taken("c1", "2026-03-02", "100.00", receipt_email="ada@example.org"),
            to_bank("P1", "2026-03-04", "-100.00"),
        ),
        filename="p.csv",
        layout=kettle_card(),
    )
    assert balance("1032") == Money.zero
    with pytest.raises(BadInput, match="is not plain money for general use"):
        hold_back_gift(by=treasurer, gift=gift, nature="conditional", terms="x", on=ON)


def test_a_gift_with_a_condition_is_income_when_the_condition_is_met(
    treasurer: Person, ada: Supporter
) -> None:
    gift = marked(treasurer, ada, "conditional", "if the town matches it by June", 50000)
    assert lines_of(gift.entry) == [
        ("1000", "general", "500.00", ""),
        ("2030", "general", "-500.00", "S-0001"),
    ]
    settled = settle_gift(by=treasurer, gift=gift, on=DAY, words="the town's letter of 2026-03-14")
    assert lines_of(settled.entry) == [
        ("2030", "general", "500.00", "S-0001"),
        ("4000", "general", "-500.00", "S-0001"),
    ]


def test_a_deposit_from_nobody_known_is_resolved_within_thirty_days(
    treasurer: Person, ada: Supporter
) -> None:
    gift = marked(treasurer, None, "unidentified", "MOBILE DEPOSIT 4471", 7500)
    assert lines_of(gift.entry) == [("1000", "general", "75.00", ""), ("2020", "general", "-75.00", "")]
    assert position().free_to_commit == Money(-100_000)
    assert resolve_by(gift) == date(2026, 4, 1)
    assert not overdue(date(2026, 4, 1)).exists()
    assert overdue(date(2026, 4, 2)).get() == gift
    with pytest.raises(BadInput, match="Say who gave it"):
        settle_gift(by=treasurer, gift=gift, on=DAY, words="she called")
    settled = settle_gift(by=treasurer, gift=gift, on=DAY, words="she called on the 14th", supporter=ada)
    assert lines_of(settled.entry) == [
        ("2020", "general", "75.00", "S-0001"),
        ("4000", "general", "-75.00", "S-0001"),
    ]
    assert Gift.objects.get().supporter == ada


def test_a_giver_who_is_found_may_have_named_a_purpose(treasurer: Person, ada: Supporter) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires", giver_words="for tires")
    gift = marked(treasurer, None, "unidentified", "DEPOSIT", 7500)
    settled = settle_gift(
        by=treasurer, gift=gift, on=DAY, words="his note of the 10th", supporter=ada, purpose="tires"
    )
    assert lines_of(settled.entry) == [
        ("2020", "general", "75.00", "S-0001"),
        ("1000", "general", "-75.00", ""),
        ("1000", "tires", "75.00", ""),
        ("4010", "tires", "-75.00", "S-0001"),
    ]
    assert balances()["1000", "tires"] == Money(7500)


def test_an_unknown_deposit_can_go_back_once_it_has_cleared(treasurer: Person) -> None:
    gift = marked(treasurer, None, "unidentified", "WIRE 12", 7500)
    with pytest.raises(NotReady, match="has not cleared yet"):
        record_refund(by=treasurer, gift=gift, on=date(2026, 3, 11), reason="bank asks for it")
    back = record_refund(by=treasurer, gift=gift, on=date(2026, 3, 12), reason="bank asks for it")
    assert lines_of(back.entry) == [("2020", "general", "75.00", ""), ("1000", "general", "-75.00", "")]


def test_a_household_that_puts_forty_toward_its_own_repair_makes_no_gift(treasurer: Person) -> None:
    repair = add_cost_object(by=treasurer, code="RO-0001", label="Alder, compact car")
    gift = record_gift(
        by=treasurer,
        kind="cash",
        received_on=ON,
        amount=Money(4000),
        nature="household share",
        terms="Alder",
        cost_object=repair,
    )
    assert lines_of(gift.entry) == [("1010", "general", "40.00", ""), ("4040", "general", "-40.00", "")]
    assert [line.cost_object_id for line in gift.entry.lines.order_by("ordinal")] == [None, "RO-0001"]  # type: ignore[union-attr]
    assert facts_of(gift).why_not == "A household's share of its own repair is not a gift."


def test_a_tip_handed_to_a_mechanic_goes_to_the_fund(treasurer: Person) -> None:
    gift = record_gift(
        by=treasurer,
        kind="cash",
        received_on=ON,
        amount=Money(2000),
        nature="tip",
        terms="handed in by Tavi",
    )
    assert lines_of(gift.entry) == [("1010", "general", "20.00", ""), ("4000", "general", "-20.00", "")]


@pytest.mark.parametrize(
    ("nature", "more", "sentence"),
    [
        ("earmarked", {"terms": " "}, "Write for whom the giver means it, in the giver's words."),
        ("unidentified", {"kind": "cash"}, "A deposit from nobody known is a transfer without a supporter."),
        ("conditional", {"purpose": "tires"}, "is money for general use, with nothing owed in return"),
    ],
)
def test_terms_without_words_are_refused(
    treasurer: Person, ada: Supporter, nature: str, more: dict[str, str], sentence: str
) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires", giver_words="for tires")
    told = {"kind": "transfer", "terms": "words", **more}
    with pytest.raises(BadInput, match=sentence):
        record_gift(by=treasurer, received_on=ON, amount=Money(100), supporter=ada, nature=nature, **told)  # type: ignore[arg-type]
    assert not Entry.objects.exists()


def test_what_does_not_wait_is_not_settled(treasurer: Person, ada: Supporter) -> None:
    gift = by_transfer(treasurer, 100, ada)
    with pytest.raises(BadInput, match="is the fund's already; nothing about it waits"):
        settle_gift(by=treasurer, gift=gift, on=DAY, words="x")
