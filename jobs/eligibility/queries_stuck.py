"""Open requests that nobody would come back to by themselves: somebody of the crew has to look at them."""

from datetime import timedelta

from django.db.models import F, OuterRef, Q, QuerySet, Subquery

from fund import clock
from fund.rulebook.queries import rule
from jobs.eligibility.models import EligibilityDecision
from jobs.households.models_keep import ConsentChange
from jobs.intake.models import Application
from jobs.intake.rules import OPEN_STATES

WHY = {
    "ran out": "the yes has run out",
    "silent": "no papers came for as long as a yes is good",
    "no yes": "a yes that is needed was taken back",
}
NEEDED = ("data", "work")


def stuck(why: str, rows: QuerySet[Application] | None = None) -> QuerySet[Application]:
    """Of ``rows`` (default all requests) those that stand still for one reason of ``WHY``.

    A yes ran out that no repair was begun on; or papers were asked for longer ago than the rule ``decision_days``; or
    the latest word on a needed consent is a no.
    """
    today = clock.today()
    latest = EligibilityDecision.objects.filter(application=OuterRef("pk")).order_by("-pk")
    found = (Application.objects.all() if rows is None else rows).filter(state__in=OPEN_STATES)
    if why == "no yes":
        return found.filter(_taken_back())
    found = found.alias(
        decided_on=Subquery(latest.values("on")[:1]), good_until=Subquery(latest.values("valid_until")[:1])
    )
    if why == "ran out":
        return found.filter(state="eligible", repairs__isnull=True, good_until__lt=today)
    oldest = today - timedelta(days=rule("decision_days"))
    return found.filter(state="more papers needed", decided_on__lt=oldest)


def _taken_back() -> Q:
    """The latest word on a needed consent is a no."""
    latest = ConsentChange.objects.filter(application=OuterRef("application"), key=OuterRef("key")).order_by(
        "-pk"
    )
    noes = (
        ConsentChange.objects.filter(key__in=NEEDED, given=False)
        .alias(last=Subquery(latest.values("pk")[:1]))
        .filter(pk=F("last"))
    )
    return Q(pk__in=noes.values("application"))
