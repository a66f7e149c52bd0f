"""Why an action said no, in a sentence fit to show to the person.

Refusal
├── NotAllowed        the person lacks the power (web: 403)
├── BadInput          what was typed or uploaded cannot be used
├── NotReady          a step that must come first is missing
├── AlreadyDone       it was done before; nothing was posted
├── Unbalanced        debits and credits differ
├── MonthClosed       the month is closed
├── NotEnoughMoney    the promise is larger than what is free to commit
└── TwoPeopleNeeded   one person may not do both steps
"""

from collections.abc import Sequence


class Refusal(Exception):
    """A plain sentence for the person, with details as further lines."""

    def __init__(self, sentence: str, details: Sequence[str] = ()) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.details = list(details)

    def __str__(self) -> str:
        return "\n".join([self.sentence, *self.details])


class NotAllowed(Refusal):
    pass


class BadInput(Refusal):
    pass


class NotReady(Refusal):
    pass


class AlreadyDone(Refusal):
    pass


class Unbalanced(Refusal):
    pass


class MonthClosed(Refusal):
    pass


class NotEnoughMoney(Refusal):
    pass


class TwoPeopleNeeded(Refusal):
    pass
