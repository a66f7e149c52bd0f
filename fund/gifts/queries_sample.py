"""How a file would be read by a layout that is not saved yet."""

from dataclasses import dataclass, field

from fund import clock
from fund.gifts.models import Layout, Platform
from fund.gifts.payout_plan import PayoutPlan, RowFate
from fund.gifts.queries_payout import plan_import
from fund.gifts.rules_layout import LayoutSpec, check_layout
from fund.gifts.rules_reading import read_file
from fund.ledger.queries import first_possible_day
from fund.refusal import Refusal

FIRST = 10


@dataclass
class Reads:
    """The first rows as they would be read, what is wrong, and whether each payout ties."""

    rows: list[RowFate] = field(default_factory=list)
    payouts: list[PayoutPlan] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    many: int = 0
    partial: bool = False

    @property
    def ready(self) -> bool:
        return bool(self.rows) and not self.problems


def how_it_reads(data: bytes, platform: Platform | None, spec: LayoutSpec) -> Reads:
    """Read a file by a layout that nobody saved. Writes nothing; what is wrong is told, not raised."""
    if platform is None:
        return Reads(problems=["Choose the platform first."])
    layout = Layout(
        name=spec.name,
        platform=platform,
        columns=dict(spec.columns),
        fees=dict(spec.fees),
        words=dict(spec.words),
        purposes=dict(spec.purposes),
    )
    try:
        check_layout(spec)
        plan = plan_import(read_file(data, spec, today=clock.today(), earliest=first_possible_day()), layout)
    except Refusal as refusal:
        return Reads(problems=[*refusal.details] or [refusal.sentence])
    return Reads(
        rows=plan.fates[:FIRST],
        payouts=plan.payouts,
        problems=plan.refusals[:FIRST],
        many=len(plan.fates),
        partial=plan.partial,
    )
