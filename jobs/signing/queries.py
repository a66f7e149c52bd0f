"""What a household signed, for the household itself."""

from jobs.handback.models import HandBack
from jobs.handback.models_proof import UnsafeRefusal
from jobs.households.models import Household
from jobs.vehicles.models_checkin import CheckIn


def signatures_of(household: Household) -> list[str]:
    """A line for each signature that is kept: when, for what, and whether it was drawn or typed. Three queries."""
    rows: list[tuple[str, CheckIn | HandBack | UnsafeRefusal]] = [
        *(
            ("check-in", row)
            for row in CheckIn.objects.filter(repair__household=household).select_related("repair")
        ),
        *(
            ("refusal of safety work", row)
            for row in UnsafeRefusal.objects.filter(repair__household=household).select_related(
                "repair", "paper"
            )
        ),
        *(
            ("hand-back", row)
            for row in HandBack.objects.filter(repair__household=household)
            .select_related("repair")
            .defer("sheet")
        ),
    ]
    lines = [(row.on, row.repair.number, what, _how(row)) for what, row in rows]
    return [f"{on}: {number}, {what}: {how}" for on, number, what, how in sorted(lines) if how]


def _how(row: CheckIn | HandBack | UnsafeRefusal) -> str:
    paper = row.paper if isinstance(row, UnsafeRefusal) else None
    ways = [
        "signature drawn on the screen" if row.drawn else "",
        f"name typed, {row.signed_by}" if row.signed_by else "",
        "photo of the signed paper" if paper is not None and paper.name else "",
    ]
    return "; ".join(filter(None, ways))
