"""Letters when a supporter is forgotten, or was taken for another."""

from datetime import date

import pytest

from fund.access.models import Person
from fund.gifts.actions import add_supporter
from fund.gifts.actions_erase import erase_supporter
from fund.gifts.actions_merge import merge_supporters, unmerge_supporters
from fund.gifts.models import Supporter, SupporterMerge
from fund.letters.actions import void_letter, write_gift_letter, write_year_letter
from fund.letters.actions_batch import start_batch
from fund.letters.models import Letter
from fund.letters.proofs import letter_breaks
from fund.letters.queries import supporters_to_write, to_withdraw
from fund.letters.sheet import email_text
from fund.refusal import AlreadyDone, BadInput
from tests.fund.letters.conftest import Give

MAY = date(2025, 5, 2)


def test_a_supporter_who_asks_to_be_forgotten_leaves_letters_without_a_name(
    treasurer: Person, anwen: Supporter, give: Give
) -> None:
    letter = write_gift_letter(by=treasurer, gift=give("300.00", MAY))
    later = give("20.00", date(2025, 6, 1))
    erase_supporter(by=treasurer, supporter=anwen, words="letter of 2026-03-10")
    kept = Letter.objects.get()
    assert (kept.to_name, kept.to_address, kept.to_email) == ("", "", "")
    assert kept.words == letter.words
    assert email_text(kept).startswith("Dear supporter,")
    assert "Anwen" not in str(kept.words)
    assert list(letter_breaks()) == []
    with pytest.raises(BadInput, match="gets no letter"):
        write_gift_letter(by=treasurer, gift=later)
    assert list(supporters_to_write(2025)) == []
    with pytest.raises(AlreadyDone):
        start_batch(by=treasurer, year=2025)


def test_two_supporters_wrongly_merged_have_their_letter_withdrawn_and_each_written_anew(
    treasurer: Person, anwen: Supporter, give: Give
) -> None:
    other = add_supporter(by=treasurer, name="Anwen Pell", email="other@post.example")
    give("300.00", MAY)
    give("40.00", MAY, supporter=other)
    merge_supporters(by=treasurer, kept=anwen, gone=other, reason="one name")
    letter = write_year_letter(by=treasurer, supporter=anwen, year=2025)
    assert (str(letter.amount), list(to_withdraw())) == ("340.00", [])
    unmerge_supporters(by=treasurer, merge=SupporterMerge.objects.get(), reason="two addresses")
    assert [row.number for row in to_withdraw()] == [1]
    void_letter(by=treasurer, letter=letter, reason="two people")
    amounts = [write_year_letter(by=treasurer, supporter=one, year=2025).amount for one in (anwen, other)]
    assert [str(amount) for amount in amounts] == ["300.00", "40.00"]
    assert list(to_withdraw()) == []


def test_a_letter_written_before_two_became_one_stands(
    treasurer: Person, anwen: Supporter, give: Give
) -> None:
    other = add_supporter(by=treasurer, name="A. Pell", email="other@post.example")
    write_gift_letter(by=treasurer, gift=give("40.00", MAY, supporter=other))
    merge_supporters(by=treasurer, kept=anwen, gone=other, reason="same person")
    assert list(to_withdraw()) == []
