from django.db import transaction
from django.utils.timezone import localtime

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.ledger.lock import hold_books
from fund.receipts.models_look import LookAnswer
from fund.receipts.queries_look import look_for
from fund.refusal import AlreadyDone, BadInput, NotReady, TwoPeopleNeeded
from fund.trail.actions import record


@transaction.atomic
def answer_look(*, by: Person, key: str, words: str) -> LookAnswer:
    """Write down the reason behind papers that were worth a second look; the question is kept as it was asked.

    Refuses a person whom it concerns (who brought them, or approved that they had no receipt), no words, a second
    answer, and a question that no paper gives cause for any more. Changes nothing else.
    """
    require(by, "receipt.second_look")
    hold_books()
    if before := LookAnswer.objects.filter(key=key).select_related("by").first():
        raise AlreadyDone(f"{before.by.label} has answered this on {localtime(before.at):%Y-%m-%d}.")
    look = look_for(key)
    if look is None:
        raise NotReady("No receipt gives cause for this question any more. There is nothing to answer.")
    if by.pk in look.people:
        raise TwoPeopleNeeded(
            f"This concerns {look.names}. Somebody it does not concern asks them and writes down what they say."
        )
    if not words.strip():
        raise BadInput("Write what was found, so that a reader in three years understands it.")
    answer = LookAnswer.objects.create(
        key=key, kind=look.kind, on=look.on, text=look.text, codes=" ".join(look.codes), names=look.names,
        amount=look.amount, words=words.strip(), by=by, at=clock.now(),
    )  # fmt: skip
    subject = look.codes[0]
    record(
        by=by, action="receipt.second_look", subject=subject, text=f"{look.sentence} Found: {words.strip()}"
    )
    return answer
