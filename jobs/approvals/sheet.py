from dataclasses import dataclass, replace
from datetime import date

from fund.commitments.rules import Position
from fund.money import Money
from jobs.approvals.rules import Check
from jobs.approvals.rules_case import Case, Voice
from jobs.approvals.rules_ladder import Rung, rungs, share_of_free, takes_two
from jobs.eligibility.models import EligibilityDecision
from jobs.eligibility.queries_ties import Tie
from jobs.estimates.models import EstimateLine, SupplementRequest
from jobs.estimates.rules import EstimateTotal, ToleranceRule
from jobs.repairs.models import RepairOrder


@dataclass(frozen=True)
class Sheet:
    """Everything the one approval screen shows, and everything an approval freezes."""

    repair: RepairOrder
    case: Case
    checks: list[Check]
    decision: EligibilityDecision | None
    request: SupplementRequest | None
    lines: list[EstimateLine]
    sums: EstimateTotal
    tolerance: Money
    tolerance_rule: ToleranceRule
    until: date
    before: Position
    purpose: str
    from_restricted: Money
    consumables_limit: Money | None = None  # the mechanic's own; only where consumables were asked for
    supporter: Tie | None = None  # that the household gives to the fund itself: shown, and changes nothing

    @property
    def free_after(self) -> Money:
        """Free to commit once this is promised; what a restriction pays does not lower it."""
        return self.before.free_to_commit - (self.case.more - self.from_restricted)

    @property
    def share(self) -> int | None:
        """Percent of free money that the whole repair takes, as the rule of the fund counts it."""
        return share_of_free(self.case.general, self.case.free_without)

    @property
    def one_may_take(self) -> Money | None:
        """The most of the free money that one person may approve; None where the fund sets no share."""
        percent = self.case.share_percent
        return Money(self.case.free_without.minor * percent // 100) if percent else None

    @property
    def broken(self) -> list[Check]:
        return [check for check in self.checks if not check.kept]

    @property
    def may_give_way(self) -> bool:
        """Whether a rule of the fund stops it that gives way where a second person agrees."""
        return any(check.gives_way for check in self.broken)

    @property
    def kept(self) -> list[Check]:
        return [check for check in self.checks if check.kept and check.known]

    @property
    def unknown(self) -> list[Check]:
        """Rules that stop nothing only because what they ask is not known yet."""
        return [check for check in self.checks if check.kept and not check.known]

    @property
    def may_stand_in(self) -> bool:
        """Whether this is a decision for an owner, and the person looking is none."""
        return not (self.case.approver_is_owner or self.case.owner_stands_aside or self.case.agreed_is_owner)

    @property
    def voices(self) -> list[Voice]:
        """The chain with one line per person, all parts named."""
        people: dict[int, Voice] = {}
        for voice in self.case.chain:
            before = people.get(voice.person)
            people[voice.person] = replace(voice, part=f"{before.part}, {voice.part}") if before else voice
        return list(people.values())

    @property
    def takes_two(self) -> bool:
        """Whether the whole repair is above what one person may approve."""
        return takes_two(self.case)

    @property
    def why_two(self) -> list[Rung]:
        """The limits that ask for a second person."""
        return [rung for rung in rungs(self.case) if rung.above]
