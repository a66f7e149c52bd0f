"""The letters of a year: a few at a time, each supporter once, as often as one likes."""

from datetime import date

import pytest

from fund.access.models import Person
from fund.gifts.actions import add_supporter, record_gift
from fund.gifts.actions_returns import record_refund
from fund.gifts.models import Supporter
from fund.letters.actions import write_gift_letter
from fund.letters.actions_batch import go_on, start_batch
from fund.letters.models import Letter, LetterBatch
from fund.letters.queries import supporters_to_write, year_of_letters
from fund.refusal import AlreadyDone, BadInput, NotAllowed
from fund.trail.models import TrailLine
from tests.fund.letters.makers import m


@pytest.fixture
def five(treasurer: Person) -> None:
    for at in range(5):
        giver = add_supporter(by=treasurer, name=f"Giver {at}")
        for month in (3, 9):
            record_gift(
                by=treasurer,
                kind="transfer",
                received_on=date(2025, month, 1),
                amount=m("10.00"),
                supporter=giver,
            )


def test_every_supporter_of_the_year_gets_one_letter(treasurer: Person, five: None) -> None:
    batch = start_batch(by=treasurer, year=2025)
    assert (batch.to_do, batch.done, Letter.objects.count()) == (5, 0, 0)
    assert [letter.number for letter in go_on(by=treasurer, batch=batch, at_a_time=2)] == [1, 2]
    batch.refresh_from_db()
    assert (batch.done, batch.ended_at) == (2, None)
    go_on(by=treasurer, batch=batch, at_a_time=2)
    go_on(by=treasurer, batch=batch, at_a_time=2)
    batch.refresh_from_db()
    assert (batch.done, batch.written, batch.ended_at is not None) == (5, 5, True)
    assert go_on(by=treasurer, batch=batch) == []
    assert set(Letter.objects.values_list("kind", "year", "amount")) == {("year", 2025, m("20.00"))}
    assert Letter.objects.values("supporter").distinct().count() == 5


def test_a_second_batch_writes_nothing_and_says_so(treasurer: Person, five: None) -> None:
    go_on(by=treasurer, batch=start_batch(by=treasurer, year=2025))
    with pytest.raises(AlreadyDone, match="Nothing was written"):
        start_batch(by=treasurer, year=2025)
    assert Letter.objects.count() == 5


def test_two_batches_of_a_year_at_once_are_refused(treasurer: Person, five: None) -> None:
    start_batch(by=treasurer, year=2025)
    with pytest.raises(AlreadyDone, match="being written already"):
        start_batch(by=treasurer, year=2025)
    assert LetterBatch.objects.count() == 1


def test_whose_gifts_all_went_back_gets_none_and_does_not_stop_the_rest(
    treasurer: Person, five: None
) -> None:
    first = Supporter.objects.earliest("pk")
    for gift in first.gifts.all():
        record_refund(by=treasurer, gift=gift, on=date(2026, 3, 1), reason="asked for it")
    batch = start_batch(by=treasurer, year=2025)
    while not batch.ended_at:
        go_on(by=treasurer, batch=batch, at_a_time=2)
        batch.refresh_from_db()
    assert (batch.done, batch.written) == (5, 4)
    assert not Letter.objects.filter(supporter=first).exists()


def test_a_gift_with_a_letter_of_its_own_is_passed_over(treasurer: Person, five: None) -> None:
    supporter = supporters_to_write(2025)[0]
    for gift in supporter.gifts.all():
        write_gift_letter(by=treasurer, gift=gift)
    assert year_of_letters(2025).supporters == 4
    go_on(by=treasurer, batch=start_batch(by=treasurer, year=2025))
    assert Letter.objects.filter(kind="year").count() == 4


def test_a_stretch_of_letters_is_one_line_in_the_trail(treasurer: Person, five: None) -> None:
    go_on(by=treasurer, batch=start_batch(by=treasurer, year=2025))
    told = TrailLine.objects.filter(action="letter.write").values_list("text", flat=True)
    assert list(told) == ["Letters 1 to 5 written for 2025."]


def test_the_year_must_be_over_and_the_person_a_treasurer(
    treasurer: Person, owner: Person, five: None
) -> None:
    with pytest.raises(BadInput, match="2026 is not over yet"):
        start_batch(by=treasurer, year=2026)
    with pytest.raises(NotAllowed, match="treasurer"):
        start_batch(by=owner, year=2025)
