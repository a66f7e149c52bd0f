"""A tie to the household takes away every deciding and proving step on its repair."""

from fund.access.models import Person
from fund.refusal import TwoPeopleNeeded
from jobs.eligibility.ties import has_tie
from jobs.repairs.models import RepairOrder


def refuse_tied_hand(by: Person, repair: RepairOrder, does_it: str) -> None:
    """Refuse somebody who named a tie to the household. ``does_it`` is what someone without one does, in words."""
    if has_tie(by, repair.household):
        raise TwoPeopleNeeded(
            f"{by.label} has a tie to the household of {repair.number}. Someone without one {does_it}."
        )
