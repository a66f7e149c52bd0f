"""A letter is written once, says what was kept of the gift, and never changes."""

from datetime import date

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from fund.access.models import Person
from fund.gifts.actions_cash import bank_deposit, count_cash
from fund.gifts.actions_returns import record_refund, return_check
from fund.gifts.models import Gift, Supporter
from fund.ledger import chart
from fund.letters.actions import digest_of, void_letter, write_anew, write_gift_letter, write_year_letter
from fund.letters.models import Letter, LetterGift
from fund.letters.queries import to_withdraw, waiting
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady
from fund.rulebook.actions import set_rule
from tests.fund.letters.conftest import Give
from tests.fund.letters.makers import m

MAY = date(2025, 5, 2)


def test_a_letter_keeps_to_whom_what_and_how_it_said_it(
    treasurer: Person, anwen: Supporter, give: Give, exempt: None
) -> None:
    letter = write_gift_letter(by=treasurer, gift=give("300.00", MAY))
    assert (letter.number, letter.kind, letter.year) == (1, "gift", 2025)
    assert (letter.to_name, letter.to_email) == ("Anwen Pell", "anwen@post.example")
    assert (letter.amount, letter.gift_part, letter.deductible) == (m("300.00"), m("300.00"), True)
    assert letter.words["statements"][0] == "We gave you no goods or services in return."
    assert letter.digest == digest_of(Letter.objects.get().words)


def test_letters_are_numbered_without_gaps_and_the_database_sees_to_it(treasurer: Person, give: Give) -> None:
    first = write_gift_letter(by=treasurer, gift=give("20.00", MAY))
    with pytest.raises(BadInput):
        write_year_letter(by=treasurer, supporter=first.supporter, year=2026)
    second = write_gift_letter(by=treasurer, gift=give("30.00", MAY))
    assert (first.number, second.number) == (1, 2)
    skipped = Letter.objects.get(number=2)
    skipped.number, skipped.replaces = 4, None
    with pytest.raises(DatabaseError, match="without gaps"), transaction.atomic():
        skipped.save(force_insert=True)


def test_what_was_written_stays_but_a_name_can_be_taken_away(treasurer: Person, give: Give) -> None:
    write_gift_letter(by=treasurer, gift=give("20.00", MAY))
    changes: tuple[dict[str, object], ...] = ({"amount": m("30.00")}, {"words": {}}, {"on": MAY})
    for change in changes:
        with pytest.raises(DatabaseError, match="stays"), transaction.atomic():
            Letter.objects.update(**change)
    with pytest.raises(DatabaseError, match="stays"), transaction.atomic():
        LetterGift.objects.update(amount=m("1.00"))
    with pytest.raises(DatabaseError, match="stays"), transaction.atomic():
        LetterGift.objects.all()._raw_delete("default")
    Letter.objects.update(to_name="", to_address="", to_email="")


def test_a_gift_is_never_in_two_letters_silently(treasurer: Person, give: Give) -> None:
    gift = give("300.00", MAY)
    first = write_gift_letter(by=treasurer, gift=gift)
    with pytest.raises(AlreadyDone) as refused:
        write_gift_letter(by=treasurer, gift=gift)
    assert "It stands in letter 1." in str(refused.value)
    with pytest.raises(AlreadyDone):
        write_year_letter(by=treasurer, supporter=first.supporter, year=2025)
    with pytest.raises(IntegrityError), transaction.atomic():
        LetterGift.objects.create(letter=first, gift=gift, amount=gift.amount)


def test_a_gift_in_a_second_letter_on_purpose_names_the_first(treasurer: Person, give: Give) -> None:
    gift = give("300.00", MAY)
    first = write_gift_letter(by=treasurer, gift=gift)
    give("20.00", date(2025, 9, 1))
    second = write_year_letter(by=treasurer, supporter=first.supporter, year=2025, again=True)
    assert second.amount == m("320.00")
    assert second.words["earlier"] == [
        f"{gift.code} also stands in our letter 1 of March 15, 2026; please count it once only."
    ]
    assert list(second.lines.values_list("gift__code", "also_in")) == [(gift.code, 1), ("G-00002", None)]


def test_the_year_letter_leaves_out_what_a_letter_named_before(treasurer: Person, give: Give) -> None:
    first = write_gift_letter(by=treasurer, gift=give("300.00", MAY))
    give("20.00", date(2025, 9, 1))
    year = write_year_letter(by=treasurer, supporter=first.supporter, year=2025)
    assert (year.amount, year.lines.count()) == (m("20.00"), 1)


def test_a_check_that_bounced_is_shown_for_withdrawal_and_written_anew_without_it(
    treasurer: Person, anwen: Supporter, give: Give
) -> None:
    """Common practice, no source: the letter of a returned check is withdrawn; a replacement is a new gift."""
    gift = give("50.00", MAY, kind="check", check_number="1207")
    give("20.00", date(2025, 6, 1))
    bank_deposit(by=treasurer, on=date(2025, 5, 5), counts=[], gifts=[gift])
    letter = write_year_letter(by=treasurer, supporter=anwen, year=2025)
    assert list(to_withdraw()) == []
    return_check(by=treasurer, gift=gift, on=date(2026, 3, 2), bank_fee=m("12.00"), reason="no funds")
    assert [row.number for row in to_withdraw()] == [letter.number]
    with pytest.raises(NotReady, match="Withdraw it first"):
        write_anew(by=treasurer, letter=letter)
    void_letter(by=treasurer, letter=letter, reason="check 1207 came back")
    assert list(to_withdraw()) == []
    again = write_anew(by=treasurer, letter=letter)
    assert (again.amount, again.replaces_id, again.lines.count()) == (m("20.00"), 1, 1)
    assert "takes the place of our letter 1" in again.words["earlier"][0]
    assert Letter.objects.get(number=1).amount == m("70.00")
    with pytest.raises(AlreadyDone, match="Letter 2 has taken the place"):
        write_anew(by=treasurer, letter=letter)


def test_a_refunded_gift_gets_no_letter(treasurer: Person, give: Give) -> None:
    gift = give("50.00", MAY)
    record_refund(by=treasurer, gift=gift, on=date(2026, 3, 2), reason="given twice")
    with pytest.raises(BadInput, match="gets no letter") as refused:
        write_gift_letter(by=treasurer, gift=gift)
    assert "refunded" in str(refused.value)


def test_anonymous_cash_gets_no_letter(treasurer: Person, volunteer: Person, volunteer2: Person) -> None:
    count_cash(by=volunteer, second=volunteer2, on=date(2026, 3, 2), place="jar", denominations={2000: 2})
    with pytest.raises(BadInput, match="has no name to it"):
        write_gift_letter(by=treasurer, gift=Gift.objects.get())


def test_given_parts_are_described_without_a_value(treasurer: Person, give: Give, exempt: None) -> None:
    """irs.gov, Charitable contributions: written acknowledgments: "description (but not value)"."""
    part = give("215.00", MAY, kind="goods", goods_account=chart.TOOLS, note="a new alternator in its box")
    letter = write_gift_letter(by=treasurer, gift=part)
    assert (letter.amount, letter.gift_part) == (m("0.00"), m("0.00"))
    assert "a new alternator in its box" in letter.words["opening"]
    assert "215" not in str(letter.words)


def test_the_dated_rule_decides_whether_a_gift_was_deductible(
    treasurer: Person, owner: Person, anwen: Supporter, give: Give
) -> None:
    give("40.00", date(2025, 2, 1))
    give("60.00", date(2025, 8, 1))
    set_rule(
        by=owner, name="gifts_deductible", value="yes", valid_from=date(2025, 7, 1), reason="The letter came."
    )
    letter = write_year_letter(by=treasurer, supporter=anwen, year=2025)
    assert (letter.amount, letter.gift_part, letter.deductible) == (m("100.00"), m("60.00"), True)


def test_gifts_that_need_a_letter_wait_until_they_have_one(
    treasurer: Person, give: Give, exempt: None
) -> None:
    give("249.99", MAY)
    large = give("250.00", MAY)
    assert [gift.code for gift, _ in waiting()] == [large.code]
    write_gift_letter(by=treasurer, gift=large)
    assert waiting() == []


def test_only_the_treasurer_writes_and_a_year_must_be_over(
    treasurer: Person, owner: Person, anwen: Supporter, give: Give
) -> None:
    gift = give("20.00", date(2026, 2, 1))
    with pytest.raises(NotAllowed, match="treasurer"):
        write_gift_letter(by=owner, gift=gift)
    with pytest.raises(BadInput, match="2026 is not over yet"):
        write_year_letter(by=treasurer, supporter=anwen, year=2026)
    with pytest.raises(BadInput, match="There is no gift"):
        write_year_letter(by=treasurer, supporter=anwen, year=2025)


def test_a_letter_is_withdrawn_once_and_with_a_reason(treasurer: Person, give: Give) -> None:
    letter = write_gift_letter(by=treasurer, gift=give("20.00", MAY))
    with pytest.raises(BadInput, match="why the letter"):
        void_letter(by=treasurer, letter=letter, reason=" ")
    void_letter(by=treasurer, letter=letter, reason="wrong name")
    with pytest.raises(AlreadyDone, match="void already"):
        void_letter(by=treasurer, letter=letter, reason="wrong name")
