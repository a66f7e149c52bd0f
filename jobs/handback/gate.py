"""What a comeback costs is booked apart, so that nobody takes it for further help."""

from fund.receipts.homes import HOMES
from fund.refusal import BadInput
from jobs.handback.models_proof import Comeback

APART = "comeback"


def refuse_plain_part(cost_object: str, home: str) -> None:
    """Refuses to book a cost of a comeback as a part, a fluid or outside work of an ordinary repair."""
    if not HOMES[home].cost or home == APART:
        return
    if Comeback.objects.filter(repair__number=cost_object).exists():
        raise BadInput(
            f"{cost_object} is a comeback. Choose “{HOMES[APART].label}”, so that it is counted apart from help given."
        )
