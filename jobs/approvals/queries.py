from datetime import date, timedelta
from typing import Any

from django.db.models import Q, QuerySet

from fund.access.guards import roles_of
from fund.access.models import Person
from fund.access.powers import OWNER
from fund.commitments.queries import allowance, free_for, general_promised, position
from fund.commitments.rules import Position
from fund.ledger.chart import GENERAL
from fund.ledger.models import Purpose
from fund.money import Money
from fund.rulebook.queries import rule, rules_on
from jobs.approvals.models import Approval, ApprovalRelation
from jobs.approvals.rules import Check, checks
from jobs.approvals.rules_case import SCREENED, TOOK, Case, Voice
from jobs.approvals.sheet import Sheet
from jobs.approvals.snapshot import agreed_on, lines_data
from jobs.eligibility.models import EligibilityDecision
from jobs.eligibility.queries import latest_decision, moved_since
from jobs.eligibility.queries_rules import rules_applied
from jobs.eligibility.queries_ties import supporter_tie
from jobs.eligibility.rules_facts import EXCEPTION, OPEN, Finding
from jobs.estimates.models import EstimateLine, SupplementRequest
from jobs.estimates.queries import lines_of, open_request, tolerance_rule
from jobs.estimates.rules import add_up, tolerance
from jobs.handback.models_proof import Comeback
from jobs.intake.models import RelationAnswer
from jobs.repairs.models import RepairOrder

COST_RULES = frozenset({"cap", "value", "consents"})


def sheet(
    repair: RepairOrder, approver: Person, on: date, purpose: str = GENERAL, unreachable: str = ""
) -> Sheet:
    """Gather the facts of a decision for one person on one day. A constant number of queries.

    ``unreachable`` is how and when an owner was tried in vain; it matters only for someone who is none.
    """
    request = open_request(repair) if repair.promised else None
    lines = lines_of(repair, request.round if request else 0)
    sums = add_up(lines)
    decision = latest_decision(repair.application)
    before = position(on)
    pot = Money.zero if purpose == GENERAL else max(free_for(purpose), Money.zero)
    standing = allowance(repair.number)
    taken = (
        Money.zero if repair.promised else standing.promised
    )  # before an approval: the mechanic's consumables
    before_it = standing.promised - taken
    whole = before_it + sums.cost
    comeback = Comeback.objects.filter(repair=repair).exists()
    rules, how_far = rules_on(on), tolerance_rule(on)
    slack = max(tolerance(whole, how_far) - standing.tolerance, Money.zero)
    case = _case(
        repair,
        approver,
        on,
        decision,
        request,
        lines,
        sums.cost,
        before_it,
        taken,
        before,
        pot,
        rules,
        unreachable,
        comeback,
    )
    return Sheet(
        repair=repair,
        case=case,
        checks=[*rules_of_the_fund(repair, request is not None, whole, on, comeback), *checks(case)],
        decision=decision,
        request=request,
        lines=lines,
        sums=sums,
        tolerance=slack,
        tolerance_rule=how_far,
        until=on + timedelta(days=rules["approval_days"]),
        before=before,
        purpose=purpose,
        from_restricted=case.from_gift,
        supporter=supporter_tie(repair.household),
    )


def rules_of_the_fund(
    repair: RepairOrder, further: bool, cost: Money, on: date, comeback: bool
) -> list[Check]:
    """The rules that the estimate makes known, and those that may have changed since the decision. What is not known
    stands as not known; once help has begun only the rules about cost and consent are asked, and of a comeback, which
    is the fund's own cost and no further help, only consent."""
    asked = COST_RULES if further else COST_RULES | {"times", "title", "registration"}
    asked = frozenset({"consents"}) if comeback else asked
    found = rules_applied(repair.application, on, cost=cost, repair=repair)
    return [
        Check(row.rule, row.stands, _with_reason(row), gives_way=row.yields, known=row.outcome != OPEN)
        for row in found
        if row.rule in asked and row.words
    ]


def _with_reason(finding: Finding) -> str:
    if finding.outcome != EXCEPTION:
        return finding.words
    return f"{finding.words} Exception: {finding.reason} ({' and '.join(finding.people)})"


def _case(
    repair: RepairOrder,
    approver: Person,
    on: date,
    decision: EligibilityDecision | None,
    request: SupplementRequest | None,
    lines: list[EstimateLine],
    cost: Money,
    standing: Money,
    taken: Money,
    before: Position,
    pot: Money,
    rules: dict[str, Any],
    unreachable: str,
    comeback: bool,
) -> Case:
    ties = _ties(repair, decision)
    chain = _chain(repair, decision, request, ties)
    agreed = agreement(repair, lines, request)
    eligible = decision is not None and decision.verdict == "eligible"
    return Case(
        number=repair.number,
        on=on,
        approver=_voice(approver, "decides", ties),
        approver_is_owner=OWNER in roles_of(approver),
        owner_stands_aside=_owners_stand_aside(chain, ties),
        chain=chain,
        eligible_until=decision.valid_until if eligible and decision else None,
        moved=decision is not None and moved_since(decision, repair.household),
        comeback=comeback,
        cause=repair.cause,
        cost=cost,
        standing_cost=standing,
        taken_in=taken,
        supplement=request is not None,
        owner_limit=rules["owner_limit"],
        delegate_limit=rules["delegate_limit"],
        share_percent=rules["free_share_percent"],
        unreachable=" ".join(unreachable.split()),
        agreed_by=_voice(agreed.approver, "agreed", ties) if agreed else None,
        agreed_is_owner=bool(agreed and OWNER in roles_of(agreed.approver)),
        free=max(before.free_to_commit, Money.zero) + pot,
        free_general=max(before.free_to_commit, Money.zero),
        general_before=general_promised(repair.number),
        from_gift=min(max(cost - taken, Money.zero), pot),
    )


Ties = dict[int, tuple[bool | None, str]]


def _ties(repair: RepairOrder, decision: EligibilityDecision | None) -> Ties:
    """What everyone said, by person. A tie once named to this household stays one."""
    said: Ties = {}
    if decision:
        answer = decision.relation_answer
        said[answer.person_id] = (answer.tie, answer.words)
    for row in repair.relations.all():
        if row.tie is not None or row.person_id not in said:
            said[row.person_id] = (row.tie, row.words)
    earlier = RelationAnswer.objects.filter(application__household=repair.household_id, tie=True)
    for person, words in earlier.values_list("person_id", "words"):
        said[person] = (True, words)
    return said


def _voice(person: Person, part: str, ties: Ties) -> Voice:
    tie, words = ties.get(person.pk, (None, ""))
    return Voice(person.pk, person.label, part, tie, words)


def _chain(
    repair: RepairOrder, decision: EligibilityDecision | None, request: SupplementRequest | None, ties: Ties
) -> tuple[Voice, ...]:
    parts = [
        (decision.decided_by if decision else None, SCREENED),
        (repair.opened_by, "opened it"),
        (repair.estimate_by, "priced it"),
        (request.asked_by if request else None, "asked for more"),
        (repair.mechanic, "does the work"),
    ]
    took = repair.approvals.filter(kind="consumables").select_related("approver")
    parts += [(person, TOOK) for person in {row.approver: None for row in took}]
    return tuple(_voice(person, part, ties) for person, part in parts if person is not None)


def _owners_stand_aside(chain: tuple[Voice, ...], ties: Ties) -> bool:
    """Whether every owner is barred from this decision, by a tie or by having asked for it."""
    asking = {voice.person for voice in chain if voice.part != SCREENED}
    owners = Person.objects.filter(groups__name=OWNER, is_active=True).values_list("pk", flat=True)
    return all(pk in asking or ties.get(pk, (None, ""))[0] for pk in owners)


def agreement(
    repair: RepairOrder, lines: list[EstimateLine], request: SupplementRequest | None
) -> Approval | None:
    """The first of two yeses, if it was given to exactly these lines and this cause."""
    kinds = ("agreement", "let go")  # what was let go is decided on anew
    row = repair.approvals.filter(kind__in=kinds).select_related("approver").order_by("-pk").first()
    wanted = agreed_on(repair.cause, request.round if request else 0, lines_data(lines))
    return row if row and row.kind == "agreement" and row.snapshot["agreed_on"] == wanted else None


def stands_in_for(person: Person) -> str:
    """Up to how much someone who is no owner may decide when none can be reached; empty for an owner."""
    return "" if OWNER in roles_of(person) else str(rule("delegate_limit").dollars)


def decided_without_owner(on: date, days: int = 30) -> QuerySet[Approval]:
    """What a treasurer said yes to in the last days because no owner could be reached, for the owners to look at."""
    since = on - timedelta(days=days)
    rows = Approval.objects.filter(on__gte=since, kind__in=("approval", "supplement"))
    words = rows.filter(snapshot__has_key="owner_unreachable").exclude(snapshot__owner_unreachable="")
    return words.select_related("approver", "repair").order_by("-pk")


def approvals_of(repair: RepairOrder) -> QuerySet[Approval]:
    """Every decision on a repair, oldest first."""
    return repair.approvals.select_related("approver").order_by("pk")


def approved_cause(repair: RepairOrder) -> str | None:
    """The cause that the last approval or supplement was given to; None before the first."""
    row = repair.approvals.filter(kind__in=("approval", "supplement")).order_by("-pk").first()
    return str(row.snapshot["cause"]) if row else None


def cause_approved(repair: RepairOrder) -> bool:
    """Whether the cause as it stands is the approved one."""
    return approved_cause(repair) in (None, repair.cause)


def asked_of(person: Person) -> QuerySet[RepairOrder]:
    """The repairs before their approval on which this person has yet to say whether there is a tie."""
    answered = ApprovalRelation.objects.filter(person=person, tie__isnull=False).values("repair")
    asked = ApprovalRelation.objects.filter(person=person, tie__isnull=True).values("repair")
    mine = Q(opened_by=person) | Q(estimate_by=person) | Q(mechanic=person) | Q(pk__in=asked)
    return RepairOrder.objects.filter(mine, state="estimated").exclude(pk__in=answered).order_by("number")


def to_decide() -> QuerySet[RepairOrder]:
    """Repairs that wait for a yes or a no: priced ones, and those with a supplement asked for."""
    priced = RepairOrder.objects.filter(state="estimated")
    return (priced | RepairOrder.objects.filter(supplement_requests__answer="")).distinct().order_by("number")


def purposes_for() -> list[tuple[str, str]]:
    """What a repair may be paid out of: general money, and restrictions that have something left."""
    pots = dict(position().pots)
    named = Purpose.objects.filter(code__in=[code for code, left in pots.items() if left > Money.zero])
    restricted = [
        (row.code, f"{row.name}: {pots[row.code].dollars} left, then general money") for row in named
    ]
    return [(GENERAL, "General money"), *restricted]
