"""What a household's own file says of its requests and of its repairs, line by line."""

from collections.abc import Iterator, Sequence

from django.db.models import Prefetch

from fund.ledger.queries import costs_of
from fund.money import Money
from jobs.eligibility.models import EligibilityDecision
from jobs.households.models import Household
from jobs.households.queries_consent import consents_on
from jobs.intake.models import Application
from jobs.intake.rules import CONSENTS, QUESTIONS
from jobs.repairs.models import RepairOrder


def requests_of(records: Sequence[Household]) -> list[str]:
    decisions = (
        EligibilityDecision.objects.select_related("decided_by", "appealed")
        .prefetch_related("letters")
        .order_by("pk")
    )
    rows = Application.objects.filter(household__in=records).select_related("taken_by")
    found = rows.prefetch_related(Prefetch("decisions", decisions), "consent_changes__by", "exceptions")
    return [line for row in found.order_by("pk") for line in _request(row)]


def _request(row: Application) -> Iterator[str]:
    yield f"{row.code} of {row.submitted_on}: {row.get_state_display()}. {row.vehicle}. {row.complaint}"
    yield from (f"  {name}: {value}" for name, value in _told(row) if value)
    yield from (
        f"  {QUESTIONS.get(key, key)} {answer or 'not answered'}" for key, answer in row.answers.items()
    )
    yield from (f"  {'Yes' if given else 'No'}: {CONSENTS.get(key, key)}" for key, given in _agreed(row))
    for change in row.consent_changes.all():
        verb = "given again" if change.given else "taken back"
        who = change.by.label if change.by else "you"
        what = CONSENTS.get(change.key, change.key)
        yield f"  “{what}” {verb} on {change.on}, written down by {who}. {change.words}".rstrip()
    for asked in row.exceptions.all():
        answer = {None: "not answered yet", True: "agreed to", False: "not agreed to"}[asked.agreed]
        why = f"{asked.reason} It was {answer}. {asked.answer_words}".rstrip()
        yield f"  Exception to the rule “{asked.rule}” asked for on {asked.asked_on}: {why}"
    for decision in row.decisions.all():
        yield from _decision(decision)


def _agreed(row: Application) -> list[tuple[str, bool]]:
    return list(consents_on(row).items())


def _told(row: Application) -> list[tuple[str, str]]:
    """What was told with a request, in the order of the page."""
    how = f"{row.get_channel_display()}, {f'taken down by {row.taken_by.label}' if row.taken_by else 'by yourself'}"
    return [
        ("Came in", how),
        ("Sent or helped by", row.referral),
        ("Best time to call", row.best_time),
        ("Make and model", row.vehicle_words),
        ("Does it drive?", row.get_drivable_display()),
        ("Needed for", f"{row.get_need_display()}. {row.need_words}".strip()),
        ("Without it", row.get_other_way_display()),
        ("Asked who belongs to you by", row.household_definition),
        ("Taken back on", str(row.withdrawn_on or "")),
        ("Helped on", str(row.helped_on or "")),
    ]


def _decision(decision: EligibilityDecision) -> Iterator[str]:
    yield (
        f"  Decided on {decision.on} by {decision.decided_by.label}: {decision.verdict} "
        f"({', '.join(decision.reason_words)}). {decision.words}".rstrip()
    )
    yield from (f"    {line}" for line in decision.worksheet)
    yield from (f"    A letter went out on {letter.on}." for letter in decision.letters.all())
    appeal = getattr(decision, "appealed", None)
    if appeal is not None:
        yield f"    You asked for a second look on {appeal.on}: {appeal.words}"


def repairs_of(records: Sequence[Household]) -> list[str]:
    rows = RepairOrder.objects.filter(household__in=records).order_by("number")
    orders = list(rows.prefetch_related("owner_yeses", "owner_notices", "road_tests"))
    costs = costs_of([order.number for order in orders])
    return [line for order in orders for line in _repair(order, costs.get(order.number, Money.zero))]


def _repair(order: RepairOrder, cost: Money) -> Iterator[str]:
    yield (
        f"{order.number}: {order.vehicle_class}, {order.state}. Complaint: {order.complaint} Cause: {order.cause} "
        f"Correction: {order.correction} Cost to the fund: {cost.dollars}; to you: $0.00"
    )
    for yes in order.owner_yeses.all():
        called = f", called at {yes.called}" if yes.called else ""
        yield f"  {yes.name or 'You'} said yes to the work on {yes.on} ({yes.get_how_display().lower()}{called})."
    for notice in order.owner_notices.all():
        said = f"{notice.words} {notice.answer}".rstrip()
        yield f"  We wrote or spoke to you on {notice.on} ({notice.get_way_display().lower()}): {said}"
    for test in order.road_tests.all():
        if test.passenger:
            yield f"  {test.passenger} came along on the road test of {test.on}."
