"""What the road-test and hand-back pages ask."""

from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from fund.commitments.queries import open_for
from fund.ledger.queries import cost_of
from fund.money import Money
from jobs.approvals.queries import cause_approved
from jobs.eligibility.queries_file import ELEMENTS, missing_elements
from jobs.estimates.queries_owner import owner_agreed
from jobs.handback.models import HandBack, RoadTest
from jobs.handback.parts import open_drafts
from jobs.handback.queries_moments import deeds_of, last_failed
from jobs.handback.queries_proof import (
    check_list_of,
    door_lines_of,
    goes_untested,
    is_comeback,
    standing_refusals,
)
from jobs.handback.rules import Lack, Result, Standing, missing
from jobs.handback.rules_door import door_lacks, left_from_the_door, lit_after
from jobs.handback.rules_moments import done_after
from jobs.hours.models import HoursEntry
from jobs.hours.queries import HoursTotal, hours_of_repair, standing
from jobs.hours.rules import Work
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State


def road_tests(repair: RepairOrder) -> QuerySet[RoadTest]:
    """All drives of a repair, the first one first, with their fluids."""
    rows = repair.road_tests.select_related("driver", "signed_by", "wheel_torque_by")
    return rows.prefetch_related("fluids")


def last_road_test(repair: RepairOrder) -> RoadTest | None:
    return road_tests(repair).order_by("-id").first()


def did_the_work(repair: RepairOrder) -> set[int]:
    """Primary keys of the people who worked on the vehicle: its mechanic and whoever gave hours on it, skilled or not."""
    rows = standing(HoursEntry.objects.filter(repair=repair)).exclude(work=Work.OFFICE)
    workers = set(rows.values_list("person_id", flat=True))
    return workers | ({repair.mechanic_id} if repair.mechanic_id else set())


# Where each element of the household's file is put right; the file's own page says the rest.
FILE_PAGES = {"description": "repairs:correction", "cost": "estimates:edit", "relationships": "approvals:tie"}


def file_lacks(repair: RepairOrder) -> tuple[tuple[str, str], ...]:
    """The elements of the household's file a repair does not have, each with its page.

    A comeback belongs to the file of the repair it comes back from.
    """
    if is_comeback(repair):
        return ()
    pages = {words: FILE_PAGES.get(name, "eligibility:file") for name, words in ELEMENTS.items()}
    return tuple((words, pages[words]) for words in missing_elements(repair.number))


def what_is_missing(
    repair: RepairOrder, *, odometer: int | None = None, on: date | None = None, owner_agrees: bool = True
) -> list[Lack]:
    """What stands between a repair and its hand-back; empty when it can go."""
    test = last_road_test(repair)
    checked = check_list_of(repair)
    refused = list(standing_refusals(repair))
    deeds, failed = deeds_of(repair), last_failed(repair)
    lacks = missing(
        Standing(
            state_allows=repair.state == State.TESTED,
            last_result=Result(test.result) if test else None,
            tested_on=test.on if test else None,
            done_after_test=done_after(deeds, test.on, test.signed_at) if test else (),
            odometer_after_test=test.odometer_in if test else None,
            odometer=odometer,
            open_drafts=tuple(open_drafts(repair)),
            owner_agrees=owner_agrees,
            on=on,
            checked=checked is not None,
            done_after_check=done_after(deeds, checked.on, checked.at) if checked else (),
            failed_after_check=failed.on if failed and checked and failed.signed_at > checked.at else None,
            cause_differs=not cause_approved(repair),
            owner_told=owner_agreed(repair),
            check_against=tuple(checked.against) if checked else (),
            correction=repair.correction,
            refused=tuple(row.text for row in refused if not hasattr(row, "end")),
            untested=goes_untested(repair),
            file_lacks=file_lacks(repair),
        )
    )
    if checked:
        parts = [(row.told or {}).get("part", "") for row in refused]
        lacks += door_lacks(door_lines_of(repair), checked.lines, parts)
    return lacks


def left_undone(repair: RepairOrder) -> list[str]:
    """What goes back undone: refused, come in wrong and not put right, lit after the drive, and found besides.

    Of the findings those that somebody said to leave or to do later, and those nobody decided on.
    """
    words = {"decline": "left", "later": "for later", "": "not decided"}
    found = [
        f"{finding.text} ({words[finding.decision]})"
        for finding in repair.findings.exclude(decision="approve")
    ]
    refused = [
        f"NOT SAFE: {row.text} (the owner refused it on {row.on})" for row in standing_refusals(repair)
    ]
    checked, test = check_list_of(repair), last_road_test(repair)
    door = left_from_the_door(door_lines_of(repair), checked.lines) if checked else []
    lit = lit_after(test.lights_after) if test else []
    return [*refused, *door, *lit, *found]


@dataclass(frozen=True)
class Figures:
    """What a repair comes to before it goes back: its cash cost, what is still promised, and its hours."""

    cost: Money
    promised: Money
    hours: HoursTotal


def figures(repair: RepairOrder) -> Figures:
    return Figures(cost_of(repair.number), open_for(repair.number), hours_of_repair(repair))


def hand_back_of(repair: RepairOrder) -> HandBack | None:
    return (
        HandBack.objects.select_related("by", "road_test", "check_list__by")
        .filter(repair=repair)
        .defer("sheet")
        .first()
    )
