"""The file on each repair given: the eight things a charity must be able to show about help to individuals.

The list is that of the US Internal Revenue Service, "Disaster relief: how charities must document relief activities"
(the same in Publication 3833): a complete description of the assistance; its cost; its purpose; the objective
criteria; how the recipients were selected; name, address and amount for each recipient; any relationship between a
recipient and officers, directors, key employees or substantial contributors; and who sat on the selection committee.
Everything here is computed from the records; nothing is typed for it. The fund's accountant decides what is enough.
"""

from dataclasses import dataclass, fields
from datetime import date

from django.db.models import QuerySet

from fund.ledger.queries import costs_of
from fund.money import Money, total
from jobs.approvals.models import Approval
from jobs.approvals.queries import SCREENED
from jobs.eligibility.models import EligibilityDecision
from jobs.eligibility.queries_ties import SUPPORTER, Tie, ties_of, with_chain
from jobs.intake.rules import NEEDS
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State

ELEMENTS = {
    "description": "complete description of the help",
    "cost": "cost of the help",
    "purpose": "purpose for which it was given",
    "criteria": "objective criteria",
    "selection": "how the household was selected",
    "recipient": "name, address and amount",
    "relationships": "relationships to the crew and to large supporters",
    "committee": "who decided",
}


@dataclass(frozen=True)
class AidFile:
    """The eight elements of one repair as text, "" where one is missing; and beside them what the list is read by."""

    number: str
    alias: str
    handed_back_on: date | None
    amount: Money
    description: str
    cost: str
    purpose: str
    criteria: str
    selection: str
    recipient: str
    relationships: str
    committee: str

    @property
    def missing(self) -> list[str]:
        return [words for name, words in ELEMENTS.items() if not getattr(self, name)]

    @property
    def elements(self) -> list[tuple[str, str]]:
        return [(words, getattr(self, name)) for name, words in ELEMENTS.items()]


assert set(ELEMENTS) < {field.name for field in fields(AidFile)}


def missing_elements(repair_number: str) -> list[str]:
    """The names of the elements a repair does not have yet, in the order of the list; [] when the file is whole.

    For the hand-back: before it, the cost counts as present once money is promised or spent.
    """
    found = aid_files(RepairOrder.objects.filter(number=repair_number))
    return found[0].missing if found else list(ELEMENTS.values())


def aid_file(repair: RepairOrder) -> AidFile:
    return aid_files(RepairOrder.objects.filter(pk=repair.pk))[0]


def repairs_given() -> list[AidFile]:
    """The file of every repair that was handed back, oldest first. A comeback belongs to the file of its first repair."""
    given = RepairOrder.objects.filter(state=State.HANDED_BACK, comeback=None)
    return aid_files(given.order_by("handed_back_on", "number"))


def aid_files(orders: QuerySet[RepairOrder]) -> list[AidFile]:
    """The files of these repairs, in their order. A constant number of queries."""
    found = list(with_chain(orders))
    costs = costs_of([row.number for row in found])
    ties = ties_of(found)
    return [_file(row, costs.get(row.number, Money.zero), ties.get(row.number)) for row in found]


def _file(order: RepairOrder, cost: Money, ties: list[Tie] | None) -> AidFile:
    decision = _eligible(order)
    given = [row for row in order.approvals.all() if row.kind in ("approval", "supplement", "ratification")]
    frozen = (decision.snapshot if decision else None) or {}
    let_go = (row.amount for row in order.approvals.all() if row.kind == "let go")
    promised = total(row.amount for row in given) - total(let_go)
    amount = cost if order.handed_back_on else cost or promised
    return AidFile(
        number=order.number,
        alias=order.alias,
        handed_back_on=order.handed_back_on,
        amount=amount,
        description=_description(order),
        cost=f"{amount.dollars}, without core deposits and donated hours"
        if amount or order.handed_back_on
        else "",
        purpose=_purpose(order),
        criteria=_criteria(frozen),
        selection=_selection(order, decision),
        recipient=_recipient(frozen, amount),
        relationships=_relationships(ties),
        committee=_committee(decision, frozen, given),
    )


def _eligible(order: RepairOrder) -> EligibilityDecision | None:
    day = order.approved_on or order.opened_on
    rows = [row for row in order.application.decisions.all() if row.verdict == "eligible" and row.on <= day]
    return rows[-1] if rows else None


def _description(order: RepairOrder) -> str:
    if not (order.complaint.strip() and order.cause.strip()):
        return ""
    done = order.correction.strip() or ("" if order.handed_back_on else "under way")
    if not done:
        return ""
    return f"Repair of a {order.vehicle_class}: {order.complaint.strip()} Cause: {order.cause.strip()} Done: {done}"


def _purpose(order: RepairOrder) -> str:
    need = NEEDS.get(order.application.need, "")
    return f"A safe vehicle for a household that cannot pay for the repair; needed for {need}" if need else ""


def _criteria(frozen: dict[str, object]) -> str:
    rules = frozen.get("rules")
    if not rules:
        return ""
    told = [f"{row['rule']}: {row['outcome']}" for row in rules]  # type: ignore[attr-defined]
    return (
        f"Income at most {frozen['percent']}% of the {frozen['table_year']} {frozen['line']} ({frozen['table_source']}); "
        f"household: {frozen.get('household_definition', '')}. {'; '.join(told)}"
    )


def _selection(order: RepairOrder, decision: EligibilityDecision | None) -> str:
    if decision is None:
        return ""
    asked = order.application
    turn = getattr(asked, "out_of_turn", None)
    taken = (
        f"taken out of turn from place {turn.place} on {turn.on} by {turn.by.label}: {turn.reason.rstrip('. ')}"
        if turn
        else "taken in the stated waiting order"
    )
    return (
        f"Asked on {asked.submitted_on} ({asked.get_channel_display()}); {taken}; found eligible "
        f"on {decision.on}: {', '.join(decision.reason_words)}"
    )


def _recipient(frozen: dict[str, object], amount: Money) -> str:
    name, address = frozen.get("name"), frozen.get("address")
    return f"{name}, {address}: {amount.dollars}" if name and address else ""


def _relationships(ties: list[Tie] | None) -> str:
    if ties is None or any(tie.answer is None for tie in ties):
        return ""
    named = [f"{tie.person} ({tie.part}): {tie.words}" for tie in ties if tie.answer]
    # A household that gives to the fund is a relationship too, but a supporter is not asked about ties.
    asked = ", ".join(sorted({tie.person for tie in ties if tie.part != SUPPORTER}))
    return f"{'; '.join(named) if named else 'None named'}. Asked: {asked}" if asked else ""


def _committee(decision: EligibilityDecision | None, frozen: dict[str, object], given: list[Approval]) -> str:
    if decision is None or not given:
        return ""
    names = list(frozen.get("committee") or [decision.decided_by.label])  # type: ignore[call-overload]
    yes = list(dict.fromkeys(row.approver.label for row in given))
    return f"{SCREENED.capitalize()}: {', '.join(names)}. Approved: {', '.join(yes)}"
