"""When a verdict may be given, and with which reasons. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from fund.refusal import BadInput, NotReady
from jobs.eligibility.rules_facts import FAIL, OPEN, Finding
from jobs.eligibility.rules_fund import ANSWERED

VERDICTS = {
    "eligible": "eligible",
    "not eligible": "not eligible",
    "more papers needed": "more papers needed",
    "withdrawn": "withdrawn",
}
REASONS = {
    "income within": "income is within the line",
    "program": "is on a program that looks at income",
    "income over": "income is over the line",
    "papers missing": "papers are missing or too old",
    "not the owner": "the vehicle is not the household's",
    "outside the area": "lives outside the area we serve",
    "no license": "no one in the household may drive it",
    "not insured": "the vehicle is not insured",
    "helped lately": "was helped lately, as often as the rules allow",
    "over the cap": "the repairs together cost more than the rules allow",
    "registered lately": "the vehicle was registered too short a time ago",
    "already repaired": "the repair was already done",
    "not our kind of work": "this repair is not one we do",
    "for business": "the vehicle is for business or resale",
    "not worth it": "the repair is worth more than the vehicle",
    "false papers": "papers that were shown turned out not to be true",
    "asked to stop": "the household asked us to stop",
    "no answer": "no answer after we tried",
}
BY_ARITHMETIC = ("income within", "income over", "program")  # added by the rules, not by hand
USUAL_REASON = {
    "eligible": "income within",
    "not eligible": "income over",
    "more papers needed": "papers missing",
    "withdrawn": "asked to stop",
}


@dataclass(frozen=True, kw_only=True)
class Case:
    """What stands at the moment of deciding. ``sentence`` is the arithmetic's own verdict in words.

    ``findings`` are all rules of the fund, with the exceptions that a second person agreed to.
    """

    within: bool
    sentence: str
    findings: Sequence[Finding]


def check_verdict(case: Case, verdict: str, reasons: Sequence[str], words: str) -> list[str]:
    """The reason codes to keep with a verdict, or a refusal that says what must come first.

    Eligible follows from the arithmetic and nothing else; not eligible always has a written reason.
    """
    if verdict not in VERDICTS:
        raise BadInput(f"Choose one verdict: {', '.join(VERDICTS)}.")
    strange = [code for code in reasons if code not in REASONS]
    if strange:
        raise BadInput(f"“{strange[0]}” is not one of the reasons: {', '.join(REASONS)}.")
    if verdict == "eligible":
        return _eligible(case, reasons)
    if verdict == "not eligible":
        return _not_eligible(case, reasons)
    if verdict == "more papers needed" and not words.strip():
        raise BadInput("Write which papers are needed, so that the household can be told.")
    return _without(reasons, *BY_ARITHMETIC) or [USUAL_REASON[verdict]]


def _without(reasons: Sequence[str], *codes: str) -> list[str]:
    return [code for code in reasons if code not in codes]


def _eligible(case: Case, reasons: Sequence[str]) -> list[str]:
    against = _without(reasons, "income within", "program")
    if against:
        raise BadInput(
            f"“{REASONS[against[0]]}” speaks against eligible. Take it out or choose another verdict."
        )
    failing = [row for row in case.findings if row.outcome == FAIL]
    if failing:
        first = failing[0].words
        if failing[0].rule == "income":
            first = f"{first} The rules do not allow eligible."
        elif failing[0].yields:
            first = f"{first} Where this should give way, ask for an exception: a second person agrees to it."
        raise NotReady(first, [row.words for row in failing[1:]])
    unknown = [row for row in case.findings if row.outcome == OPEN and row.rule in ANSWERED]
    if unknown:
        names = ", ".join(row.rule for row in unknown)
        raise NotReady(
            f"Not answered yet: {names}. Ask the household, write the answers down on the request, then decide.",
            [row.words for row in unknown],
        )
    return ["program" if any(row.code == "program" for row in case.findings) else "income within"]


def _not_eligible(case: Case, reasons: Sequence[str]) -> list[str]:
    others = _without(reasons, *BY_ARITHMETIC)
    if not case.within and not any(row.code == "program" for row in case.findings):
        return ["income over", *others]
    if not others:
        raise BadInput(f"{case.sentence} Choose the reason why it is still not eligible.")
    return others
