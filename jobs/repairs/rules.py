"""The road a repair order takes, as a table."""

from enum import StrEnum

from fund.money import Money
from fund.refusal import NotReady


class State(StrEnum):
    """Where a repair order stands."""

    CHECKED_IN = "checked in"
    ESTIMATED = "estimated"
    APPROVED = "approved"
    IN_WORK = "in the bay"
    TESTED = "road-tested"
    HANDED_BACK = "handed back"
    DECLINED = "declined"
    CANCELLED = "cancelled"
    DIAGNOSED = "diagnosed, not repaired"


ROAD = (
    State.CHECKED_IN,
    State.ESTIMATED,
    State.APPROVED,
    State.IN_WORK,
    State.TESTED,
    State.HANDED_BACK,
)
ENDED = frozenset({State.HANDED_BACK, State.DECLINED, State.CANCELLED, State.DIAGNOSED})
PROMISED = frozenset({State.APPROVED, State.IN_WORK, State.TESTED})

_STOPS = frozenset({State.CANCELLED, State.DIAGNOSED})
NEXT: dict[State, frozenset[State]] = {
    State.CHECKED_IN: frozenset({State.ESTIMATED, State.DECLINED}) | _STOPS,
    State.ESTIMATED: frozenset({State.ESTIMATED, State.APPROVED, State.DECLINED}) | _STOPS,
    State.APPROVED: frozenset({State.IN_WORK, State.CHECKED_IN}) | _STOPS,
    State.IN_WORK: frozenset({State.TESTED}) | _STOPS,
    State.TESTED: frozenset({State.IN_WORK, State.HANDED_BACK}),
    State.HANDED_BACK: frozenset(),
    State.DECLINED: frozenset({State.ESTIMATED}),
    State.CANCELLED: frozenset(),
    State.DIAGNOSED: frozenset(),
}

# What has to happen before each step, in the words of the shop.
BEFORE = {
    State.CHECKED_IN: "it is first opened, or an approval nobody used is let go",
    State.ESTIMATED: "it is checked in and nothing is approved yet",
    State.APPROVED: "there is an estimate that waits for a decision",
    State.IN_WORK: "the repair is approved, or a road test sent it back",
    State.TESTED: "the work is under way",
    State.HANDED_BACK: "it has passed its road test",
    State.DECLINED: "nothing is approved yet",
}


NOTHING_TO_STOP = "It has ended already; there is nothing left to stop."
_INSTEAD = {
    State.TESTED: "It has had its road test: hand it back, or record a test that failed, which takes it back into the bay.",
}


def check_step(number: str, now: str, then: State) -> None:
    """Refuse a step the table does not have, saying where the repair order stands."""
    if then not in NEXT[State(now)]:
        if then in _STOPS:
            raise NotReady(
                f"{number} is {now} and cannot be stopped. {_INSTEAD.get(State(now), NOTHING_TO_STOP)}"
            )
        raise NotReady(f"{number} is {now}. It can become “{then}” only when {BEFORE[then]}.")


def state_after_stop(cause: str, cost: Money) -> State:
    """A repair stopped after its cause was found, at no cost, is reported as diagnosed; else as cancelled."""
    return State.DIAGNOSED if cause.strip() and not cost else State.CANCELLED
