"""Who may buy for a repair: everyone who has said that the household is not tied to them. And what, before a decision."""

from fund.access.models import Person
from fund.receipts.homes import HOMES
from fund.refusal import NotReady, TwoPeopleNeeded
from jobs.eligibility.ties import has_answered, has_tie
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State


def refuse_tied_buyer(person: Person, cost_object: str) -> None:
    """Refuses to buy or take from the shelf for a repair to someone tied to its household, or who was not asked yet."""
    repair = RepairOrder.objects.select_related("household").filter(number=cost_object).first()
    if repair is None:
        return
    if has_tie(person, repair.household):
        raise TwoPeopleNeeded(
            f"{person.label} has a tie to the household of {repair.number}. Someone without one buys or takes what it needs."
        )
    if not has_answered(person, repair):
        raise NotReady(
            f"{person.label} has not said yet whether the household of {repair.number} is tied to them. "
            "The question stands on the page of the repair order."
        )


CONSUMED = "fluid"  # the one place on a receipt for fluids and small supplies of a repair


def refuse_more_than_consumables(cost_object: str, home: str) -> None:
    """Refuses parts and outside work for a repair on which only the mechanic's own consumables stand."""
    if not HOMES[home].cost or home == CONSUMED:
        return
    repair = RepairOrder.objects.filter(number=cost_object).first()
    if repair is None or repair.promised or repair.state == State.HANDED_BACK:
        return
    said = repair.approvals.filter(kind__in=("approval", "let go", "decline", "consumables"))
    last = said.order_by("-pk").first()
    if last is not None and last.kind == "consumables":
        raise NotReady(
            f"Only fluids and small supplies may be bought for {cost_object} before its decision. "
            f"“{HOMES[home].label}” waits until the estimate is approved."
        )
