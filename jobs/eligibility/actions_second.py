"""What takes a second person: an exception to a rule, and a second look at a decision."""

from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require, two_people
from fund.access.models import Person
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record
from jobs.eligibility.models_second import Appeal, RuleException
from jobs.eligibility.queries import latest_decision, refuse_taken_back
from jobs.eligibility.queries_priced import priced, rules_now
from jobs.eligibility.rules_exceptions import COST_RULES
from jobs.eligibility.rules_facts import FAIL
from jobs.eligibility.ties import refuse_tie
from jobs.intake.actions import answer_relation
from jobs.intake.models import Application, RelationAnswer


@transaction.atomic
def ask_exception(
    *, by: Person, application: Application, rule: str, reason: str, on: date | None = None
) -> RuleException:
    """Ask that a failing rule give way for one request. It counts once someone else agrees.

    The rules about cost are judged once the repair is priced (queries_priced), and give way up to that cost: what costs
    more is asked for anew. One asked for before there is a price holds until there is one. Refuses a rule that does not
    fail or never gives way, an empty reason, a tie, asking twice, and whoever did not answer the relation question on
    this request.
    """
    require(by, "household.screen")
    _refuse_tied_or_unasked(by, application)
    if not reason.strip():
        raise BadInput("Write why the rule should give way. The reason is kept and can be asked for.")
    found = {row.rule: row for row in rules_now(application, on)}
    if rule not in found:
        raise BadInput(f"“{rule[:20]}” is not one of the rules.")
    if not found[rule].yields:
        raise BadInput(f"The rule “{rule}” never gives way.")
    if found[rule].outcome != FAIL:
        raise AlreadyDone(f"The rule “{rule}” does not stand in the way now. No exception is needed.")
    return _ask(by, application, rule, reason, priced(application)[0], on)


def _ask(
    by: Person, application: Application, rule: str, reason: str, up_to: Money | None, on: date | None
) -> RuleException:
    if application.exceptions.filter(rule=rule, agreed=None).exists():
        raise AlreadyDone("This exception was asked for already and waits for a second person.")
    row = RuleException.objects.create(
        application=application,
        rule=rule,
        reason=reason.strip(),
        up_to=up_to if rule in COST_RULES else None,
        asked_by=by,
        asked_on=on or clock.today(),
    )
    text = f"{application.code} of household {application.household.alias}: exception to “{rule}” asked for."
    record(by=by, action="exception.ask", subject=application.code, text=text)
    return row


@transaction.atomic
def ask_cost_exception(
    *, by: Person, application: Application, rule: str, reason: str, up_to: Money, on: date | None = None
) -> RuleException:
    """The same for a rule about cost (``cap``, ``value``) before there is a price: up to a cost of the repair.

    Refuses also another rule and a cost that is not above zero.
    """
    require(by, "household.screen")
    _refuse_tied_or_unasked(by, application)
    if rule not in COST_RULES:
        raise BadInput(
            "Only the rules about cost are asked for here: the household's cap and the vehicle's value."
        )
    if not reason.strip():
        raise BadInput("Write why the rule should give way. The reason is kept and can be asked for.")
    if up_to <= Money.zero:
        raise BadInput("Write up to which cost of the repair the rule should give way, in dollars.")
    return _ask(by, application, rule, reason, up_to, on)


@transaction.atomic
def answer_exception(
    *, by: Person, exception: RuleException, agreed: bool, words: str = "", on: date | None = None
) -> RuleException:
    """The second person's yes or no.

    Refuses who asked for it, a tie, whoever did not answer the relation question, a no without words, a second answer.
    """
    require(by, "household.screen")
    exception = RuleException.objects.select_for_update().select_related("application").get(pk=exception.pk)
    application = exception.application
    if exception.agreed is not None:
        raise AlreadyDone("This exception was answered already.")
    two_people(exception.asked_by, by, "make an exception to a rule")
    _refuse_tied_or_unasked(by, application)
    if not agreed and not words.strip():
        raise BadInput("Write why not, so that the one who asked can be told.")
    exception.agreed, exception.answered_by = agreed, by
    exception.answered_on, exception.answer_words = on or clock.today(), words.strip()
    exception.save()
    verb = "agreed to" if agreed else "not agreed to"
    text = f"{application.code}: exception to “{exception.rule}” {verb}."
    record(by=by, action="exception.answer", subject=application.code, text=text, data={"agreed": agreed})
    return exception


def tie_then_ask(
    *, by: Person, application: Application, tie: bool, tie_words: str = "", rule: str, reason: str
) -> RuleException:
    """The relation answer and the asking of one form. The answer stays even if the asking is refused."""
    require(by, "household.screen")
    _say(by, application, tie, tie_words)
    return ask_exception(by=by, application=application, rule=rule, reason=reason)


def tie_then_answer(
    *, by: Person, exception: RuleException, tie: bool, tie_words: str = "", agreed: bool, words: str = ""
) -> RuleException:
    """The same for the second person's yes or no."""
    require(by, "household.screen")
    _say(by, exception.application, tie, tie_words)
    return answer_exception(by=by, exception=exception, agreed=agreed, words=words)


def _say(by: Person, application: Application, tie: bool, words: str) -> None:
    last = RelationAnswer.objects.filter(application=application, person=by).order_by("-pk").first()
    if last is None or last.tie != tie or last.words != words.strip():
        answer_relation(by=by, application=application, tie=tie, words=words)


def _refuse_tied_or_unasked(by: Person, application: Application) -> None:
    refuse_tie(by, application.household)
    if not RelationAnswer.objects.filter(application=application, person=by).exists():
        raise NotReady(
            "Answer first whether you have a tie to this household. Both who make an exception are asked."
        )


@transaction.atomic
def appeal(*, by: Person | None, application: Application, words: str, on: date | None = None) -> Appeal:
    """The household asks that its latest decision be looked at again, in its own words.

    ``by`` is who took it down, None where the household did it by its private link. Refuses without a decision that
    went against it, a request that was taken back, and a second appeal against the same decision. Whoever decides next
    did not decide on this request before.
    """
    if by is not None:
        require(by, "intake.enter")
    refuse_taken_back(application)
    decision = latest_decision(application)
    if decision is None or decision.verdict not in ("not eligible", "more papers needed"):
        raise NotReady("There is no decision against this request, so there is nothing to look at again.")
    if Appeal.objects.filter(against=decision).exists():
        raise AlreadyDone("This decision is being looked at again already, or it was.")
    if not words.strip():
        raise BadInput("Write what should be looked at again, in the household's own words.")
    row = Appeal.objects.create(against=decision, words=words.strip(), on=on or clock.today(), taken_by=by)
    application.state = "waiting"
    application.save(update_fields=["state"])
    text = f"{application.code} of household {application.household.alias}: asks for a second look."
    record(by=by, action="eligibility.appeal", subject=application.code, text=text)
    return row
