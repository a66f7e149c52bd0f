"""Who and what the story speaks of: finds people, households and repairs by the names the files use."""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fund.access.models import Person
from fund.gifts.models import CashCount, Gift, Supporter
from fund.receipts.models import Receipt
from jobs.intake.models import Application
from jobs.repairs.models import RepairOrder

Step = dict[str, Any]
PASSWORD = "larkwater trial run"
FIRST_PASSWORD = "until the first evening"


@dataclass(slots=True)
class Cast:
    """What the replay has made so far."""

    folder: Path
    people: dict[str, Person] = field(default_factory=dict)
    givers: dict[str, Supporter] = field(default_factory=dict)
    counts: list[CashCount] = field(default_factory=list)
    checks: dict[str, Gift] = field(default_factory=dict)
    unbanked: list[Gift] = field(default_factory=list)
    applications: dict[str, Application] = field(default_factory=dict)
    repairs: dict[str, RepairOrder] = field(default_factory=dict)
    unpaid: list[Receipt] = field(default_factory=list)

    def repair(self, alias: str) -> RepairOrder:
        """The repair as the database has it now."""
        return RepairOrder.objects.get(pk=self.repairs[alias].pk)

    def other(self, person: Person) -> Person:
        return self.people["jun" if person.username == "tavi" else "tavi"]
