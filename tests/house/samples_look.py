"""Samples of receipts worth a second look, of those that were answered, and of a repair longer than its book."""

from datetime import date

from fund.access.models import Person
from fund.receipts.actions_look import answer_look
from fund.receipts.models import Receipt
from fund.receipts.rules_look_rows import key_of
from jobs.hours.actions import add_hours
from jobs.hours.models import Skill
from jobs.repairs.models import RepairOrder
from tests.fund.receipts.makers import bought, line, paper
from tests.reports.month.march import Crew


def live_look(crew: Crew, waiting: RepairOrder, on: date) -> None:
    """One open, one answered, and hours past the book that nobody has explained."""
    grow_look(crew, crew.volunteer2, "live")
    skill = Skill.objects.get(code="mechanic")
    add_hours(by=crew.volunteer, repair=waiting, person=crew.volunteer2, on=on, tenths=120, skill=skill)


def grow_look(crew: Crew, buyer: Person, name: str) -> None:
    for number in ("open", "told"):
        vague = line("misc", "2.00", "supplies")
        bought(buyer, paper(buyer, "2.00", "0.00", vague, number=f"{number} {name}", store=f"Counter {name}"))
    told = Receipt.objects.get(number=f"told {name}")
    answer_look(by=crew.owner, key=key_of("words", [told.code]), words="Wire brushes, seen in the bay.")


def look_samples(waiting: RepairOrder) -> dict[str, dict[str, object]]:
    asked = Receipt.objects.get(number="open live")
    return {
        "receipts:look": {"key": key_of("words", [asked.code])},
        "hours:why": {"number": waiting.number},
    }
