"""Who in the chain of a repair is tied to its household: the answers of all, and gifts of the household itself."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet, Sum
from django.db.models.functions import Lower

from fund.access.models import Person
from fund.gifts.models import Supporter
from fund.ledger.queries import costs_of
from fund.money import Money
from fund.receipts.models import ReceiptPortion
from jobs.approvals.models import Approval, ApprovalRelation
from jobs.eligibility.models import EligibilityDecision
from jobs.eligibility.models_second import RuleException
from jobs.households.models import Household
from jobs.intake.models import RelationAnswer
from jobs.repairs.models import RepairOrder

SCREENER, EXCEPTED, AGREED, OPENED, PRICED, MECHANIC, APPROVER, BUYER = (
    "screened",
    "asked for an exception",
    "agreed to an exception",
    "opened it",
    "priced it",
    "does the work",
    "approved",
    "bought for it",
)
SUPPORTER = "the household gives to the fund"
GIVING = ("approval", "supplement", "ratification", "agreement")


@dataclass(frozen=True)
class Tie:
    """What one person in the chain answered: True a tie, False none, None not asked or not answered yet."""

    person: str
    part: str
    answer: bool | None
    words: str = ""


@dataclass(frozen=True)
class RelatedParty:
    """One line of the accountant's list: a repair given to a household that someone in the chain is tied to."""

    number: str
    alias: str
    amount: Money
    person: str
    part: str
    words: str


def with_chain(orders: QuerySet[RepairOrder]) -> QuerySet[RepairOrder]:
    """Repairs with all that :func:`ties_of` asks of them: three queries, however many they are."""
    decisions = EligibilityDecision.objects.select_related("decided_by").order_by("pk")
    return orders.select_related(
        "application__household",
        "application__out_of_turn__by",
        "household",
        "opened_by",
        "estimate_by",
        "mechanic",
    ).prefetch_related(
        Prefetch("application__decisions", decisions),
        Prefetch("approvals", Approval.objects.select_related("approver").order_by("pk")),
    )


@dataclass(frozen=True)
class Chain:
    """Who took part in each repair, by number, and what everyone said about each household."""

    parts: dict[str, list[tuple[Person, str]]]
    said: "Said"
    gifts: dict[int, list[Tie]]

    def of(self, order: RepairOrder) -> list[Tie]:
        rows = []
        for person, part in self.parts[order.number]:
            answer, words = self.said.get((order.household_id, person.pk)) or self.said.get(
                (order.number, person.pk), (None, "")
            )
            rows.append(Tie(person.label, part, answer, words))
        return [*rows, *self.gifts.get(order.household_id, [])]

    def aside(self, order: RepairOrder) -> list[Tie]:
        """Who named a tie to the household and took no part."""
        mine = {person.pk for person, _ in self.parts[order.number]}
        found = [
            Tie(self.said.names[person], "stood aside", True, words)
            for (key, person), (tie, words) in self.said.items()
            if key == order.household_id and tie and person not in mine
        ]
        return sorted(found, key=lambda row: row.person)


class Said(dict[tuple[int | str, int], tuple[bool | None, str]]):
    """Answers by repair number and person, and ties by household and person; with the names of those who answered.

    ``excepted``: by request, who made an exception to a rule. Nobody does so without an answer, so they are all here.
    """

    names: dict[int, str]
    excepted: dict[int, list[tuple[Person, str]]]


def chain_of(orders: Sequence[RepairOrder]) -> Chain:
    """For repairs read by :func:`with_chain`: four more queries, however many they are."""
    said = _said(orders)
    return Chain(_parts(orders, said), said, _gifts(orders))


def ties_of(orders: Sequence[RepairOrder]) -> dict[str, list[Tie]]:
    """Everyone in the chain of each repair with their answer. A constant number of queries for any number of repairs."""
    chain = chain_of(orders)
    return {order.number: chain.of(order) for order in orders}


def _parts(orders: Sequence[RepairOrder], said: "Said") -> dict[str, list[tuple[Person, str]]]:
    parts: dict[str, dict[tuple[Person, str], None]] = {}
    for order in orders:
        found = [row.decided_by for row in order.application.decisions.all() if row.verdict == "eligible"]
        people = (
            (found[-1] if found else None, SCREENER),
            *said.excepted.get(order.application_id, ()),
            (order.opened_by, OPENED),
            (order.estimate_by, PRICED),
            (order.mechanic, MECHANIC),
            *((row.approver, APPROVER) for row in order.approvals.all() if row.kind in GIVING),
        )
        parts[order.number] = {(person, part): None for person, part in people if person is not None}
    bought = ReceiptPortion.objects.filter(cost_object__in=list(parts), line__receipt__state="posted")
    for row in bought.select_related("line__receipt__buyer").order_by("pk"):
        if row.cost_object_id is not None and row.line.receipt.buyer is not None:
            parts[row.cost_object_id][(row.line.receipt.buyer, BUYER)] = None
    return {number: list(rows) for number, rows in parts.items()}


def _said(orders: Sequence[RepairOrder]) -> Said:
    """The answers; a tie once named counts for the whole household."""
    said, households = Said(), {order.household_id for order in orders}
    said.names, said.excepted = {}, {}
    by_request: dict[int, list[str]] = {}
    for order in orders:
        by_request.setdefault(order.application_id, []).append(order.number)
    agreed = RuleException.objects.filter(agreed=True, application=OuterRef("application"))
    asked = RelationAnswer.objects.filter(application__household__in=households).order_by("pk")
    asked = asked.annotate(
        excepted=Exists(agreed.filter(asked_by=OuterRef("person"))),
        agreed=Exists(agreed.filter(answered_by=OuterRef("person"))),
    )
    for row in asked.select_related("application", "person"):
        said.names[row.person_id] = row.person.label
        parts = ((EXCEPTED, row.excepted), (AGREED, row.agreed))
        for part in (name for name, made in parts if made):
            said.excepted.setdefault(row.application_id, []).append((row.person, part))
        for number in by_request.get(row.application_id, []):
            said[(number, row.person_id)] = (row.tie, row.words)
        if row.tie:
            said[(row.application.household_id, row.person_id)] = (True, row.words)
    answered = ApprovalRelation.objects.filter(repair__household__in=households, tie__isnull=False).order_by(
        "pk"
    )
    for answer in answered.select_related("repair", "person"):
        said.names[answer.person_id] = answer.person.label
        said[(answer.repair.number, answer.person_id)] = (answer.tie, answer.words)
        if answer.tie:
            said[(answer.repair.household_id, answer.person_id)] = (True, answer.words)
    return said


def _gifts(orders: Sequence[RepairOrder]) -> dict[int, list[Tie]]:
    """Households that are supporters themselves, by e-mail or whole name: allowed under the same rules, and shown."""
    households = {order.household_id: order.household for order in orders}
    supporters = _supporters(households.values())
    rows = {pk: _gift_tie(household, supporters) for pk, household in households.items()}
    return {pk: [row] for pk, row in rows.items() if row is not None}


def _supporters(households: Iterable[Household]) -> dict[str, list[Supporter]]:
    rows = list(households)
    emails = {row.email.strip().lower() for row in rows if row.email.strip()}
    names = {row.applicant_name.strip().lower() for row in rows if row.applicant_name.strip()}
    found: dict[str, list[Supporter]] = {}
    wanted = (
        Supporter.objects.annotate(low_email=Lower("email"), low_name=Lower("name"))
        .filter(Q(low_email__in=emails) | Q(low_name__in=names))
        .annotate(given=Sum("gifts__amount"))
        .order_by("code")
    )
    for supporter in wanted:
        for key in {supporter.email.strip().lower(), supporter.name.strip().lower()} - {""}:
            found.setdefault(key, []).append(supporter)
    return found


def _gift_tie(household: Household, supporters: dict[str, list[Supporter]]) -> Tie | None:
    keys = {household.email.strip().lower(), household.applicant_name.strip().lower()} - {""}
    rows = {row.code: row for key in keys for row in supporters.get(key, [])}
    if not rows:
        return None
    given = sum((row.given or Money.zero for row in rows.values()), Money.zero)  # type: ignore[attr-defined]
    return Tie(", ".join(sorted(rows)), SUPPORTER, True, f"gave {given.dollars} in all")


def supporter_tie(household: Household) -> Tie | None:
    """Whether this household gives to the fund, and how much in all. It changes no decision; the approver sees it."""
    return _gift_tie(household, _supporters([household]))


def related_parties() -> list[RelatedParty]:
    """For the accountant: every tie on a repair that money was promised to or spent on, by repair number.

    Whoever is tied did not decide; the list shows who they are and what the household received.
    """
    promised = RepairOrder.objects.exclude(approved_on=None, handed_back_on=None)
    orders = list(with_chain(promised).order_by("number"))
    costs, chain = costs_of([order.number for order in orders]), chain_of(orders)
    return [
        RelatedParty(
            order.number, order.alias, costs.get(order.number, Money.zero), row.person, row.part, row.words
        )
        for order in orders
        for row in [*(row for row in chain.of(order) if row.answer), *chain.aside(order)]
    ]
