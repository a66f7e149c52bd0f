"""May this person say yes to this repair now? One list of rules, for the screen and the action alike."""

from collections.abc import Sequence
from dataclasses import dataclass

from fund.money import Money
from fund.refusal import NotEnoughMoney, NotReady, Refusal, TwoPeopleNeeded
from jobs.approvals.rules_case import ASKING, SCREENED, Case
from jobs.approvals.rules_ladder import Rung, rungs, takes_two


@dataclass(frozen=True)
class Check:
    """One rule: kept or broken, in a sentence either way, and the kind of refusal a broken one makes.

    ``known``: false where nobody knows yet whether it is kept; it stops nothing then, and is not told as kept.
    """

    rule: str
    kept: bool
    words: str
    refusal: type[Refusal] = NotReady
    gives_way: bool = False  # by an exception with a reason and a second person
    known: bool = True


def checks(case: Case) -> list[Check]:
    """The rules in the order a person would look at them; the money last."""
    return [
        _eligible(case),
        _cause(case),
        _priced(case),
        _not_own_request(case),
        *_answers(case),
        _no_tie(case),
        _screener_free(case),
        _owner_decides(case),
        *(_agreed(case, rung) for rung in rungs(case)),
        _money(case),
    ]


def refuse_broken(found: Sequence[Check]) -> None:
    """Raise the first broken rule as a refusal, the other broken ones as its details."""
    broken = [check for check in found if not check.kept]
    if broken:
        raise broken[0].refusal(broken[0].words, [check.words for check in broken[1:]])


def _eligible(case: Case) -> Check:
    if case.comeback:
        return Check(
            "eligible", True, "A comeback: the household was helped once; that needs no new decision."
        )
    if case.supplement:
        return Check("eligible", True, "The household was found eligible before the first approval.")
    until = case.eligible_until
    if until is None:
        return Check("eligible", False, "The household has no eligible decision. A screener decides first.")
    if case.moved:
        words = (
            "The household lives elsewhere than at the decision, and another income table counts there. "
            "A screener decides again first."
        )
        return Check("eligible", False, words)
    if until < case.on:
        return Check(
            "eligible", False, f"The household's eligibility ran out on {until}. Screen it again first."
        )
    return Check("eligible", True, f"The household is eligible until {until}.")


def _cause(case: Case) -> Check:
    if not case.cause.strip():
        return Check(
            "cause", False, "The cause is not written yet. A repair is approved, not a list of parts."
        )
    return Check("cause", True, "The cause was found and written.")


def _priced(case: Case) -> Check:
    if case.cost > Money.zero:
        return Check("priced", True, f"It is priced at {case.cost.dollars} without core deposits.")
    if case.supplement:
        return Check("priced", True, "It costs no more than was approved; the cause changed.")
    return Check("priced", False, "There is no estimate yet. Price the repair first.")


def _not_own_request(case: Case) -> Check:
    mine = [
        voice.part for voice in case.chain if voice.person == case.approver.person and voice.part in ASKING
    ]
    if mine:
        did = " and ".join(mine)
        return Check(
            "asker",
            False,
            f"{case.approver.name} {did}, and who asks never approves. Someone else decides.",
            TwoPeopleNeeded,
        )
    return Check("asker", True, "The person deciding neither opened it, priced it nor does the work.")


def _answers(case: Case) -> list[Check]:
    voices = {voice.person: voice for voice in (*case.chain, case.approver)}.values()
    missing = [voice.name for voice in voices if voice.tie is None]
    if missing:
        return [
            Check(
                "answers", False, f"Not yet said whether the household is tied to them: {', '.join(missing)}."
            )
        ]
    return [Check("answers", True, "Everyone in the chain has said whether the household is tied to them.")]


def _no_tie(case: Case) -> Check:
    if case.approver.tie:
        return Check(
            "tie",
            False,
            f"{case.approver.name} has a tie to the household. Someone without one decides.",
            TwoPeopleNeeded,
        )
    if case.approver.tie is None:
        return Check("tie", True, "No tie of the person deciding is known.")
    return Check("tie", True, "The person deciding has no tie to the household.")


def _screener_free(case: Case) -> Check:
    tied = [voice.name for voice in case.chain if voice.part == SCREENED and voice.tie]
    if tied:
        return Check(
            "screener",
            False,
            f"{tied[0]} screened the household and has a tie to it. Someone else screens it again first.",
        )
    return Check("screener", True, "The household was screened by someone without a tie.")


def _owner_decides(case: Case) -> Check:
    if case.approver_is_owner:
        return Check("owner", True, "An owner decides.")
    if case.owner_stands_aside:
        return Check("owner", True, "Every owner stands aside, so the treasurer decides.")
    if takes_two(case) and case.agreed_is_owner:
        return Check("owner", True, "An owner has agreed first.")
    if not case.unreachable:
        words = (
            "An owner decides on this. The treasurer does when every owner stands aside, or when none can be reached and "
            f"the repair costs at most {case.delegate_limit.dollars}."
        )
        return Check("owner", False, words)
    whole, limit = case.whole.dollars, case.delegate_limit.dollars
    if case.whole > case.delegate_limit:
        return Check(
            "owner",
            False,
            f"{whole} is above the {limit} that the treasurer may approve when no owner can be reached. Wait for an owner.",
        )
    return Check(
        "owner",
        True,
        f"No owner could be reached ({case.unreachable}), and {whole} is within the {limit} the treasurer may approve then.",
    )


def _agreed(case: Case, rung: Rung) -> Check:
    if not rung.above:
        return Check(rung.rule, True, rung.words)
    if case.agreed_by is None:
        return Check(rung.rule, False, f"{rung.words} A second person agrees first.", TwoPeopleNeeded)
    name = case.agreed_by.name
    if case.agreed_by.person == case.approver.person:
        words = f"{rung.words} {name} agreed first, so someone else gives the second yes."
        return Check(rung.rule, False, words, TwoPeopleNeeded)
    return Check(rung.rule, True, f"{rung.words} {name} has agreed to it.")


def _money(case: Case) -> Check:
    left = case.free - case.more
    if left < Money.zero:
        return Check(
            "money",
            False,
            f"{case.more.dollars} is {(-left).dollars} more than the {case.free.dollars} free to commit.",
            NotEnoughMoney,
        )
    return Check("money", True, f"{case.more.dollars} of the {case.free.dollars} free to commit.")
