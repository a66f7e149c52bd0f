"""Letters proved: numbers without gaps, words unchanged, amounts the sum of the gifts they name."""

from collections.abc import Iterator

from django.db.models import Q, Sum

from fund.gifts.rules import GOODS
from fund.letters.actions import digest_of
from fund.letters.models import Letter, LetterGift
from fund.money import Money


def letter_breaks() -> Iterator[str]:
    """A sentence for each letter that is missing, altered, or does not add up."""
    sums = dict(
        LetterGift.objects.filter(~Q(gift__kind=GOODS))
        .order_by()
        .values_list("letter")
        .annotate(sum=Sum("amount"))
    )
    expected = 1
    for letter in Letter.objects.order_by("number").iterator():
        if letter.number != expected:
            yield f"Letter {expected} is missing."
        if digest_of(letter.words) != letter.digest:
            yield f"The words of letter {letter.number} are not those it was written with."
        if sums.get(letter.number, Money.zero) != letter.amount:
            yield f"Letter {letter.number} says {letter.amount}, its gifts are {sums.get(letter.number, Money.zero)}."
        expected = letter.number + 1
