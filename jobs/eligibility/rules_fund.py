"""The fund's own written rules on whom it helps: each passes, fails, or is still open, in a sentence. Pure.

A rule that may give way says so; then someone asks for an exception with a reason and a second person agrees. The
numbers are dated rules of the fund (``Policy``). They are common practice of small repair charities, not law.
"""

from collections.abc import Sequence

from fund.money import Money, total
from jobs.eligibility.rules_facts import (
    AUTHORITY,
    FAIL,
    OPEN,
    PASS,
    PROGRAM_LETTER,
    STATEMENT,
    Facts,
    Finding,
    Help,
    Paper,
    Policy,
    fresh,
    months_before,
)
from jobs.households.rules import INCOME_PAPERS, KINDS, PROGRAMS

# Which paper shows which kind of income. A pay stub for each job is common practice; the general ones show any one income.
SHOWN_BY = {
    "pay": "pay stub",
    "self-employed": "profit and loss",
    "benefit": "benefit letter",
    "child support": "support order",
}
GENERAL_PAPERS = frozenset({"tax return", "bank statement", "signed statement"})
# What has to be known before anyone is found eligible: a yes, or a no with an exception where the rule gives way. Since
# when a vehicle is registered joins them once there is a vehicle, and what it is worth once the repair is priced.
ANSWERED = frozenset({"area", "license", "insurance", "own use", "still to do", "title"})


def findings(facts: Facts, policy: Policy) -> list[Finding]:
    """Every rule, in the order a person would look at them."""
    return [
        _income(facts, policy),
        _papers(facts, policy),
        _area(facts),
        *_knock_outs(facts),
        _title(facts, policy),
        _registered(facts, policy),
        _times(facts, policy),
        _cap(facts, policy),
        _value(facts, policy),
        _consents(facts),
    ]


def on_program(facts: Facts, policy: Policy) -> bool:
    """Already on a means-tested program, with its letter sighted, where the fund takes that as proof."""
    letters = [paper for paper in facts.papers if paper.kind == PROGRAM_LETTER]
    return bool(
        policy.categorical
        and facts.program
        and any(fresh(row, facts.on, policy.papers_days) for row in letters)
    )


def _income(facts: Facts, policy: Policy) -> Finding:
    if on_program(facts, policy):
        name = PROGRAMS.get(facts.program, facts.program)
        return Finding("income", PASS, f"The household is on a means-tested program: {name}.", "program")
    outcome = PASS if facts.within else FAIL
    return Finding("income", outcome, facts.sentence, "income over")


def _papers(facts: Facts, policy: Policy) -> Finding:
    if on_program(facts, policy):
        return Finding("papers", PASS, "The program's letter was sighted and is in date.", "papers missing")
    if not facts.incomes:
        return _no_income(facts, policy)
    about_income = [paper for paper in facts.papers if paper.kind in INCOME_PAPERS]
    if not about_income:
        words = "No paper about income was sighted yet. See one and enter it, then decide."
        return Finding("papers", FAIL, words, "papers missing")
    in_date = [paper for paper in about_income if fresh(paper, facts.on, policy.papers_days)]
    if not in_date:
        words = f"The papers about income are too old: {_too_old(about_income, policy)} See newer ones."
        return Finding("papers", FAIL, words, "papers missing")
    bare = without_paper(facts.incomes, in_date)
    if bare:
        kinds = ", ".join(KINDS[kind].lower() for kind in bare)
        words = (
            f"{len(facts.incomes)} incomes are counted, and no paper in date shows: {kinds}. See one for each, a stub for "
            "each job."
        )
        return Finding("papers", FAIL, words, "papers missing", True)
    words = "A paper for each income was sighted and is in date."
    return Finding("papers", PASS, words, "papers missing", True)


def without_paper(incomes: Sequence[str], papers: Sequence[Paper]) -> list[str]:
    """The kinds of income that no paper is left for: each paper shows one income, first those of its own kind."""
    left = [paper.kind for paper in papers]
    bare = []
    for kind in incomes:
        own = SHOWN_BY.get(kind, "")
        if own in left:
            left.remove(own)
        else:
            bare.append(kind)
    others = [kind for kind in left if kind in GENERAL_PAPERS]
    return bare[len(others) :]


def _too_old(papers: Sequence[Paper], policy: Policy) -> str:
    newest = max(paper.dated for paper in papers)
    return f"the newest is of {newest}, and {policy.papers_days} days is the limit."


def _no_income(facts: Facts, policy: Policy) -> Finding:
    if not facts.no_income_words.strip():
        words = (
            "No income is entered. Enter it, or write down how rent, food and phone are paid, then decide."
        )
        return Finding("papers", FAIL, words, "papers missing")
    signed = [paper for paper in facts.papers if paper.kind == STATEMENT]
    if not signed:
        words = (
            "A household without income signs a statement of how rent, food and phone are paid, before a witness. "
            "Sight it and enter it, then decide."
        )
        return Finding("papers", FAIL, words, "papers missing")
    if not any(fresh(paper, facts.on, policy.papers_days) for paper in signed):
        words = (
            "The signed statement of how rent, food and phone are paid is too old: "
            f"{_too_old(signed, policy)} Have a new one signed before a witness."
        )
        return Finding("papers", FAIL, words, "papers missing")
    words = "How rent, food and phone are paid without an income is written down and signed."
    return Finding("papers", PASS, words, "papers missing")


def _area(facts: Facts) -> Finding:
    return _answered(
        facts, "lives here", "area", "The household lives in the area we serve.", "outside the area"
    )


# question, rule, what a yes says, reason code, may it give way
_KNOCK_OUTS = (
    ("license", "license", "Someone in the household may drive.", "no license", True),
    ("insured", "insurance", "The vehicle is insured or will be once it runs.", "not insured", True),
    ("own use", "own use", "The vehicle is for the household's own use.", "for business", False),
    ("still to do", "still to do", "The repair is still to be done.", "already repaired", False),
)


def _knock_outs(facts: Facts) -> list[Finding]:
    return [
        _answered(facts, key, rule, words, code, yields) for key, rule, words, code, yields in _KNOCK_OUTS
    ]


def _answered(facts: Facts, key: str, rule: str, words: str, code: str, yields: bool = False) -> Finding:
    answer = facts.answers.get(key, "")
    if answer == "yes":
        return Finding(rule, PASS, words, code, yields)
    if answer == "no":
        return Finding(rule, FAIL, f"The household answered no: {words[0].lower()}{words[1:]}", code, yields)
    return Finding(rule, OPEN, f"Not known yet: {words[0].lower()}{words[1:]}", code, yields)


def _title(facts: Facts, policy: Policy) -> Finding:
    own = facts.title == "household" or (not facts.title and facts.answers.get("own vehicle") == "yes")
    if own:
        return Finding("title", PASS, "The title is in the name of the household.", "not the owner")
    signed = [paper for paper in facts.papers if paper.kind == AUTHORITY]
    for_it = [paper for paper in signed if _names(paper, facts)]
    if any(fresh(paper, facts.on, policy.papers_days) for paper in for_it):
        return Finding(
            "title", PASS, "Whoever holds the title has agreed to the work in writing.", "not the owner"
        )
    if signed:
        why = (
            f"is too old: {_too_old(for_it, policy)}"
            if for_it
            else "does not name this vehicle, and the household has others."
        )
        words = f"The title holder's signed authority {why} Nothing is bought before one for this vehicle is sighted."
        return Finding("title", FAIL, words, "not the owner")
    if facts.title == "other" or facts.answers.get("own vehicle") == "no":
        words = (
            "The title is in someone else's name. Nothing is bought before that person's signed authority was "
            "sighted; until then only a diagnosis is possible."
        )
        return Finding("title", FAIL, words, "not the owner")
    return Finding("title", OPEN, "Not known yet: in whose name the title is.", "not the owner")


def _names(paper: Paper, facts: Facts) -> bool:
    """Whether an authority is for the vehicle to be repaired."""
    return paper.vehicle == facts.vehicle or (paper.vehicle is None and facts.only_vehicle)


def _registered(facts: Facts, policy: Policy) -> Finding:
    rule, code = "registration", "registered lately"
    if not policy.registered_months:
        return Finding(rule, PASS, "The fund asks for no length of registration.", code, True)
    if facts.registered_on is None:
        words = "Not known yet: since when the vehicle is registered to the household."
        if facts.vehicle is None and facts.cost is None:
            return Finding(rule, OPEN, words, code, True)
        todo = "Look at the registration and write the day down with the vehicle."
        return Finding(rule, FAIL, f"{words} {todo}", code, True)
    since = f"The vehicle is registered to the household since {facts.registered_on}"
    if months_before(facts.on, policy.registered_months) < facts.registered_on:
        words = f"{since}; the fund asks for {policy.registered_months} months."
        return Finding(rule, FAIL, words, code, True)
    return Finding(rule, PASS, f"{since}.", code, True)


def _counted(facts: Facts, policy: Policy) -> list[Help]:
    first = months_before(facts.on, policy.period_months)
    return [row for row in facts.helped if first < row.on <= facts.on]


def _times(facts: Facts, policy: Policy) -> Finding:
    given = _counted(facts, policy)
    told = facts.answers.get("first in a year") == "no"
    count = "1 repair" if len(given) == 1 else f"{len(given)} repairs"
    so_far = f"{count} given or promised in the last {policy.period_months} months"
    if len(given) >= policy.period_repairs:
        words = f"{so_far}, the last on {max(row.on for row in given)}; {policy.period_repairs} is the limit."
        return Finding("times", FAIL, words, "helped lately", True)
    if told and not given:
        return Finding(
            "times", OPEN, "They say they were helped lately; our records show nothing.", "helped lately"
        )
    return Finding("times", PASS, f"{so_far}; {policy.period_repairs} is the limit.", "helped lately", True)


def _cap(facts: Facts, policy: Policy) -> Finding:
    spent = total(row.cost for row in _counted(facts, policy))
    whole = spent + (facts.cost or Money.zero)
    told = f"{spent.dollars} spent or promised in the last {policy.period_months} months"
    if facts.cost is not None:
        told = f"{told} and {facts.cost.dollars} now make {whole.dollars}"
    limit = f"{policy.household_cap.dollars} is the limit of a household"
    if whole > policy.household_cap or (facts.cost is None and spent >= policy.household_cap):
        return Finding("cap", FAIL, f"{told}; {limit}.", "over the cap", True)
    return Finding("cap", PASS, f"{told}; {limit}.", "over the cap", True)


def _value(facts: Facts, policy: Policy) -> Finding:
    rule, code = "value", "not worth it"
    if facts.cost is None:
        return Finding(rule, OPEN, "Not known yet: what the repair costs.", code, True)
    if facts.value is None:
        words = "Not known yet: what the vehicle is worth. Write it down with the vehicle, and who says so."
        return Finding(rule, FAIL, words, code, True)
    told = f"The repair costs {facts.cost.dollars}, the vehicle is worth {facts.value.dollars}"
    limit = f"{policy.value_percent}% of its worth is the limit"
    if facts.cost.minor * 100 > facts.value.minor * policy.value_percent:
        return Finding(rule, FAIL, f"{told}; {limit}.", code, True)
    return Finding(rule, PASS, f"{told}; {limit}.", code, True)


def _consents(facts: Facts) -> Finding:
    if not facts.consents.get("data"):
        return Finding("consents", FAIL, "The yes to keep and use the data was taken back.", "asked to stop")
    if not facts.consents.get("work"):
        words = "The household has not agreed that the crew may work on the vehicle. Ask, then decide."
        return Finding("consents", FAIL, words, "asked to stop")
    return Finding(
        "consents", PASS, "The household agreed that the crew keeps the data and works.", "asked to stop"
    )
