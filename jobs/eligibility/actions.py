from collections.abc import Sequence
from datetime import date, timedelta
from secrets import token_hex

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.as_read import refuse_unread
from fund.attachments.actions import Upload
from fund.refusal import BadInput, NotReady, TwoPeopleNeeded
from fund.rulebook.queries import rule
from fund.trail.actions import record
from jobs.eligibility.models import EligibilityDecision
from jobs.eligibility.models_second import Appeal
from jobs.eligibility.queries import assess_household, latest_decision, refuse_taken_back
from jobs.eligibility.queries_read import CHANGED, mark_of
from jobs.eligibility.queries_rules import rules_applied
from jobs.eligibility.rules_decision import Case, check_verdict
from jobs.eligibility.rules_exceptions import conditions
from jobs.eligibility.rules_facts import EXCEPTION, Finding
from jobs.eligibility.rules_snapshot import digest_of, snapshot
from jobs.eligibility.ties import others_for, refuse_tie
from jobs.households.actions_papers import keep_copy
from jobs.households.models import Household, Sighting
from jobs.households.queries import income_facts
from jobs.households.rules import PAPERS
from jobs.intake.actions import answer_relation
from jobs.intake.models import Application, RelationAnswer
from jobs.vehicles.models import Vehicle


@transaction.atomic
def sight(
    *,
    by: Person,
    household: Household,
    kind: str,
    document_date: date,
    on: date | None = None,
    note: str = "",
    expires_on: date | None = None,
    vehicle: Vehicle | None = None,
) -> Sighting:
    """Enter that ``by`` saw a paper and gave it back; ``vehicle`` is the one it names, if it names one.

    Refuses one dated after it was seen or expired by then, a vehicle that is not the household's, and a tie.
    """
    require(by, "household.screen")
    on = on or clock.today()
    if kind not in PAPERS:
        raise BadInput(f"Choose what the paper is: {', '.join(PAPERS.values())}.")
    if on > clock.today():
        raise BadInput(f"A paper cannot have been seen on {on}, which is still to come.")
    if document_date > on:
        raise BadInput(f"The paper is dated {document_date}, after the day it was seen ({on}). Look again.")
    if expires_on is not None and expires_on < on:
        raise BadInput(
            f"The paper ran out on {expires_on}, before it was seen ({on}). Ask for one that is valid."
        )
    refuse_tie(by, household)
    if vehicle is not None and vehicle.household_id != household.pk:
        raise BadInput(
            f"The paper names a vehicle that is not of household {household.alias}. Choose its own."
        )
    paper = Sighting.objects.create(
        household=household,
        kind=kind,
        document_date=document_date,
        expires_on=expires_on,
        vehicle=vehicle,
        on=on,
        sighted_by=by,
        note=note.strip(),
    )
    text = f"{PAPERS[kind]} of {document_date} sighted for household {household.code} ({household.alias})."
    record(by=by, action="paper.sight", subject=household.code, text=text)
    return paper


@transaction.atomic
def sight_with_copy(
    *,
    by: Person,
    household: Household,
    copy: Upload | None = None,
    delete_on: date | None = None,
    kind: str,
    document_date: date,
    on: date | None = None,
    note: str = "",
    expires_on: date | None = None,
    vehicle: Vehicle | None = None,
) -> Sighting:
    """A paper as seen and, where there is one, its copy in the same breath: neither without the other."""
    paper = sight(
        by=by,
        household=household,
        kind=kind,
        document_date=document_date,
        on=on,
        note=note,
        expires_on=expires_on,
        vehicle=vehicle,
    )
    if copy is not None:
        keep_copy(by=by, sighting=paper, upload=copy, delete_on=delete_on)
    return paper


@transaction.atomic
def decide(
    *,
    by: Person,
    application: Application,
    verdict: str,
    reasons: Sequence[str] = (),
    words: str = "",
    on: date | None = None,
    read: str | None = None,
) -> EligibilityDecision:
    """Decide on a request by the figures as they are entered now, and freeze all of them with the decision.

    ``by`` must have answered the relation question anew (intake.actions.answer_relation); a tie takes the power
    away. Eligible needs every rule of the fund (rules_fund.findings) to pass or to give way by an exception that
    a second person agreed to; the first questions and the title must be answered (rules_fund.ANSWERED). After an
    appeal someone decides who never did on this request. One that the household took back itself is closed for good: whoever
    asks again makes a new request. A later decision is a new row; the earlier one stays as it is. ``read`` is the mark
    of what stood on the page (queries_read.mark_of); what changed since is read again first.
    """
    require(by, "household.screen")
    on = on or clock.today()
    application = Application.objects.select_for_update().select_related("household").get(pk=application.pk)
    household = application.household
    if read is not None:
        refuse_unread(read, mark_of(application), CHANGED)
    answer = _fresh_answer(by, application)
    _check_day(application, on)
    asked_again = _asked_again(by, application)
    result = assess_household(household, on)
    found = rules_applied(application, on, assessment=result)
    case = Case(within=result.within, sentence=result.sentence, findings=found)
    reasons = check_verdict(case, verdict, reasons, words)
    days: int = rule("decision_days", on)
    frozen = snapshot(
        result, income_facts(household), _people(household), found, _of_the_day(by, household, on, found)
    )
    decision = EligibilityDecision.objects.create(
        application=application,
        relation_answer=answer,
        decided_by=by,
        on=on,
        at=clock.now(),
        verdict=verdict,
        reasons=list(reasons),
        words=words.strip(),
        snapshot=frozen,
        digest=digest_of(frozen, words.strip()),
        appeal=asked_again,
        valid_until=on + timedelta(days=days) if verdict == "eligible" else None,
    )
    application.state = verdict
    application.save(update_fields=["state"])
    text = f"{application.code} of household {household.alias}: {verdict}. Reasons: {', '.join(reasons)}."
    record(by=by, action="eligibility.decide", subject=application.code, text=text, data={"verdict": verdict})
    return decision


def answer_then_decide(
    *,
    by: Person,
    application: Application,
    tie: bool,
    tie_words: str = "",
    verdict: str,
    reasons: Sequence[str] = (),
    words: str = "",
    on: date | None = None,
    read: str | None = None,
) -> EligibilityDecision:
    """The relation answer and the decision of one form. The answer stays even if the decision is refused."""
    require(by, "household.screen")
    unused = _unused_answer(by, application)
    if unused is None or unused.tie != tie or unused.words != tie_words.strip():
        answer_relation(by=by, application=application, tie=tie, words=tie_words)
    return decide(
        by=by, application=application, verdict=verdict, reasons=reasons, words=words, on=on, read=read
    )


def _unused_answer(by: Person, application: Application) -> RelationAnswer | None:
    """The last answer of a person on a request, unless a decision already rests on it."""
    answer = RelationAnswer.objects.filter(application=application, person=by).order_by("-pk").first()
    used = answer and EligibilityDecision.objects.filter(relation_answer=answer).exists()
    return None if used else answer


def _fresh_answer(by: Person, application: Application) -> RelationAnswer:
    refuse_tie(by, application.household)
    answer = _unused_answer(by, application)
    if answer is None:
        raise NotReady(
            "Answer first whether you have a tie to this household. It is asked anew for each decision."
        )
    return answer


def _check_day(application: Application, on: date) -> None:
    if application.state == "helped":
        raise NotReady(f"{application.code} was helped already. A new request is needed for a new decision.")
    refuse_taken_back(application)
    if on > clock.today():
        raise BadInput(f"A decision cannot be dated {on}, which is still to come.")
    if on < application.submitted_on:
        raise BadInput(f"The household asked on {application.submitted_on}; a decision cannot be dated {on}.")
    earlier = latest_decision(application)
    if earlier and on < earlier.on:
        raise BadInput(f"The decision before this one is of {earlier.on}; this one cannot be dated {on}.")


def _asked_again(by: Person, application: Application) -> Appeal | None:
    """The open appeal this decision answers. Someone who never decided on the request decides on it."""
    open_one = Appeal.objects.filter(against__application=application, decision=None).order_by("-pk").first()
    decided = set(application.decisions.values_list("decided_by", flat=True))
    if open_one is not None and by.pk in decided:
        raise TwoPeopleNeeded(
            "You decided on this request before, and it takes someone who did not to look at a decision again: "
            f"{others_for(application.household, decided)}."
        )
    return open_one


def _people(household: Household) -> list[dict[str, object]]:
    return [
        {"number": row.number, "relation": row.relation, "adult": row.adult, "birth_year": row.birth_year}
        for row in household.members.all()
    ]


def _of_the_day(by: Person, household: Household, on: date, found: Sequence[Finding]) -> dict[str, object]:
    """Facts of the day beside the figures: who and where the household was, by which definition, and who decided."""
    agreed = {name for finding in found for name in finding.people if finding.outcome == EXCEPTION}
    return {
        "name": household.applicant_name,
        "address": household.address,
        "household_area": household.area,
        "household_definition": rule("household_definition", on),
        "decided_by": by.label,
        "committee": sorted({by.label} | agreed),
        "conditions": conditions(found),
        "nonce": token_hex(16),
    }
