"""What a household is told, in plain words and in the language it chose."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from fund import clock
from jobs.households.queries_consent import consents_on
from jobs.intake.models import Application
from jobs.intake.queries_order import Place, place_of
from jobs.intake.rules import QUESTIONS
from jobs.intake.rules_order import Part
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import ENDED, State

# What a “no” to a first question means; with these no one is helped, whatever else is told.
ENDS_IT = ("lives here", "own use", "still to do")
NO_MEANS = {
    "lives here": "We can only help people who live in the area we serve.",
    "own vehicle": "The person whose name is on the title has to say yes in writing. Until then we can only look for the fault.",
    "license": "Someone with a license has to drive it home. If no one can, it goes home on a trailer.",
    "insured": "We can fix it, but we do not test it on the road. It goes home on a trailer, or once it is insured.",
    "own use": "We cannot help with a vehicle for a business, or one you want to sell.",
    "still to do": "We cannot pay for a repair that is done.",
    "first in a year": "We help each home only now and then. If the vehicle is not safe to drive, please ask us anyway.",
}


@dataclass(frozen=True)
class No:
    question: str
    means: str
    ends_it: bool


def noes(answers: Mapping[str, str]) -> list[No]:
    """The questions answered with no, and what that means."""
    return [
        No(_(words), _(NO_MEANS[key]), key in ENDS_IT)
        for key, words in QUESTIONS.items()
        if answers.get(key) == "no"
    ]


@dataclass(frozen=True)
class Status:
    """How a request stands: a headline and what happens next. ``open`` while it can be taken back.

    ``unrepaired``: the vehicle is with the household as it was, so what may not be safe still is not.
    """

    headline: str
    lines: list[str] = field(default_factory=list)
    open: bool = False
    may_ask_again: bool = False
    unrepaired: bool = False


def status_of(application: Application) -> Status:
    """For the household itself. A fixed number of queries."""
    consents = consents_on(application)
    if application.withdrawn_on is not None:
        return _taken_back(application, consents)
    status = _as_it_goes(application)
    if status.open and not (consents.get("data") and consents.get("work")):
        status.lines[:] = [_("You took back a yes that we need. We cannot go on without it. Please call us.")]
    return status


def _taken_back(application: Application, consents: Mapping[str, bool]) -> Status:
    lines = [_("You may ask again when something has changed.")]
    if not consents.get("data"):
        lines.insert(0, _("You took back your yes that we keep what you told us. So we do not go on."))
    if application.repairs.exclude(state__in=ENDED).exists():
        lines.insert(0, _("Your vehicle is still with us. Please call us, so that you can come and get it."))
    return Status(_("This request is closed."), lines)


def _as_it_goes(application: Application) -> Status:
    repair = application.repairs.select_related("comeback").order_by("-pk").first()
    if repair and hasattr(repair, "comeback") and repair.state != State.HANDED_BACK:
        return _back_again(repair)
    if application.state == "helped" or (repair and repair.state == State.HANDED_BACK):
        return Status(
            _("Your repair is done."), [_("If the same fault comes back, call us. We look at it again.")]
        )
    if repair is not None:
        return _in_the_shop(repair)
    return _before_the_shop(application)


def _back_again(repair: RepairOrder) -> Status:
    """What was repaired did not hold: the vehicle is looked at again, or was."""
    if repair.ended:
        lines = [
            _("The new trouble does not come from our repair. We tell you why. You may ask for help with it.")
        ]
        return Status(_("We looked at your vehicle again."), lines)
    if repair.state == State.TESTED:
        return Status(_("The work is done and tested."), [_("We call you, so that you can come and get it.")])
    lines = [_("We look again at what we repaired. It costs you nothing. We call you when it is ready.")]
    return Status(_("Your vehicle is back with us."), lines)


def _in_the_shop(repair: RepairOrder) -> Status:
    told = {
        State.CHECKED_IN: (
            _("Your vehicle is on our list for the shop."),
            _("We look for the fault and see what the repair costs."),
        ),
        State.ESTIMATED: (
            _("We know what is wrong."),
            _("Now we see whether we can pay for it. Then we call you."),
        ),
        State.APPROVED: (_("We will repair it."), _("We buy the parts and call you for a day.")),
        State.IN_WORK: (_("We are working on it."), _("Then we test it. We call you when it is ready.")),
        State.TESTED: (_("The work is done and tested."), _("We call you, so that you can come and get it.")),
    }
    ended = (_("We did not repair it."), _("We tell you why. If no one has called you, call us."))
    headline, line = told.get(State(repair.state), ended)
    early = repair.state in (State.CHECKED_IN, State.ESTIMATED)
    return Status(headline, [line], open=early, unrepaired=early or repair.ended)


def _before_the_shop(application: Application) -> Status:
    if application.state == "waiting":
        lines = [
            _("We look at it and call you. Most people hear from us within ten days."),
            *_place(application),
        ]
        return Status(_("We have your request."), lines, open=True, unrepaired=True)
    if application.state == "more papers needed":
        lines = [
            _("We tell you which ones, by phone or letter. We look at them and give them back."),
            *_place(application),
        ]
        again = _not_asked_again(application)
        headline = _("We need to see some papers.")
        return Status(headline, lines, open=True, may_ask_again=again, unrepaired=True)
    if application.state == "eligible":
        return _eligible(application)
    if application.state == "not eligible":
        lines = [_("We tell you why, by phone or letter. If no one has called you, call us.")]
        return Status(
            _("We cannot help with this request."),
            lines,
            may_ask_again=_not_asked_again(application),
            unrepaired=True,
        )
    return Status(_("This request is closed."), [_("You may ask again when something has changed.")])


def _eligible(application: Application) -> Status:
    decision = application.decisions.order_by("-pk").first()
    until = decision.valid_until if decision else None
    day = date_format(until, _("F j, Y")) if until else ""
    if until is not None and until < clock.today():
        lines = [
            _("It was good until %(day)s. Call us: we look at your papers again before we go on.")
            % {"day": day}
        ]
        return Status(_("Our yes has run out."), lines, open=True, unrepaired=True)
    good = _("This yes is good until %(day)s. After that we look at your papers again.") % {"day": day}
    lines = [_("Now you wait for your turn. We call you."), *([good] if day else []), *_place(application)]
    return Status(_("Yes, we can help you."), lines, open=True, unrepaired=True)


def _not_asked_again(application: Application) -> bool:
    decision = application.decisions.select_related("appealed").order_by("-pk").first()
    return decision is not None and not hasattr(decision, "appealed")


def _place(application: Application) -> list[str]:
    place = place_of(application)
    return [place_in_words(place)] if place else []


def place_in_words(place: Place) -> str:
    """The place and why, in a sentence for the household."""
    told = _("You are number %(number)d of %(of)d in line.") % {"number": place.number, "of": place.of}
    if not place.parts:
        return told
    because = ", ".join(_part(part) for part in place.parts)
    return " ".join([told, _("Your points: %(points)s.") % {"points": because}])


def _part(part: Part) -> str:
    names = {
        "safety": _("%(points)d because it is not safe to drive"),
        "need": _("%(points)d for what you need it for"),
        "dependence": _("%(points)d because it is hard to get around without it"),
    }
    waited = _("%(points)d for the time you have waited")
    return names.get(part.key, waited) % {"points": part.points}
