from datetime import date

from fund import clock
from jobs.hours.actions import add_hours
from jobs.hours.models import Skill
from jobs.repairs.models import RepairOrder
from reports.month.queries_close import close_list
from tests.reports.month.lived import AFTER
from tests.reports.month.march import Crew


def looking(month: str = "2026-03") -> list[str]:
    return [stop.code for stop in close_list(month) if not stop.blocks]


def test_hours_without_their_persons_yes_petty_cash_and_stale_promises_are_looked_at(
    orders: dict[str, RepairOrder], crew: Crew
) -> None:
    with clock.at(AFTER):
        add_hours(
            by=crew.owner, repair=orders["D"], person=crew.volunteer2, on=date(2026, 3, 31), tenths=5,
            skill=Skill.objects.get(code="mechanic"),
        )  # fmt: skip
        assert looking() == ["hours", "bank", "petty cash", "no photo"]
        text = next(stop.text for stop in close_list("2026-03") if stop.code == "hours")
        assert "Jun Okafor" in text
    with clock.at(date(2026, 6, 5)):
        assert "stale" not in looking("2026-04")
        assert "stale" in looking("2026-05")
