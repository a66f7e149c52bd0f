"""Closing a month, wording a repair for the public, publishing a month."""

import json
from collections.abc import Sequence
from typing import Any

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.ledger import actions as ledger
from fund.ledger.chart import REPAIR_COST
from fund.ledger.lock import hold_books
from fund.ledger.models import Month
from fund.ledger.rules import first_day
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotReady, TwoPeopleNeeded
from fund.trail.actions import record as trail
from jobs.repairs.models import RepairOrder
from reports.month.bundle import BundleFile, build, lines_csv, readable
from reports.month.models import PublicWording, PublishedFile, PublishedMonth
from reports.month.queries import figures_of, last_published, next_to_publish, public_lines
from reports.month.queries_close import close_list
from reports.month.queries_jobs import private_values
from reports.month.rules import carry_difference, ledger_differences, repair_differences, require_footing
from reports.month.rules_close import refuse_stops
from reports.month.rules_content import content
from reports.month.rules_figures import Figures, extra_differences
from reports.month.rules_privacy import leaks_in_outputs, leaks_in_text, refuse_leaks
from reports.month.rules_record import canonical, digest
from reports.month.rules_texts import signing_names, written_texts


@transaction.atomic
def close_month(*, by: Person, month: str) -> Month:
    """Close a month when nothing on its close list stops it. Its lines and balances are then fixed for good."""
    require(by, "month.close")
    first_day(month)
    hold_books()
    refuse_stops(month, close_list(month))
    return ledger.close_month(by=by, month=month)


@transaction.atomic
def word_repair(*, by: Person, repair: str, text: str) -> PublicWording:
    """Say in public words what was wrong with a vehicle and what was done, in place of the shop's own.

    Refuses words that hold something private of a household, by the same search that publishing makes.
    """
    require(by, "month.close")
    order = RepairOrder.objects.filter(number=repair).first()
    if order is None:
        raise BadInput(f"There is no repair order {repair}.")
    said = " ".join(text.split())
    if not said or len(said) > 400:
        raise BadInput("Write one or two sentences, at most 400 letters.")
    refuse_leaks(leaks_in_text({f"the story of {order.alias}": said}, private_values()))
    wording = PublicWording.objects.create(repair=repair, text=said, by=by, at=clock.now())
    trail(by=by, action="month.word", subject=repair, text=f"Public wording of {repair}: {said}")
    return wording


@transaction.atomic
def publish_month(*, by: Person, month: str, reason: str = "") -> PublishedMonth:
    """Publish a closed month: its record, chained to the month before, and every file made from it.

    Whoever closed it prepared it and whoever publishes it reviewed it: both did so themselves, and nobody signs for
    another. One person for both needs a ``reason``, which is shown with the words "not independently reviewed".
    Refuses an open month, one out of order, a second time, figures that do not foot, and anything private. Nothing is
    kept after a refusal.
    """
    require(by, "month.publish")
    first_day(month)
    hold_books()
    _in_order(month)
    row = Month.objects.get(key=month)
    preparer, reviewer = row.closed_by or by, by
    people = _people(preparer, reviewer, reason)
    before = last_published()
    earlier = json.loads(before.record) if before else None
    figures = figures_of(month)
    require_footing(month, differences(figures, Money(earlier["closing"]) if earlier else None))
    lines = BundleFile("lines.csv", "text/csv; charset=utf-8", lines_csv(public_lines(month)))
    now = clock.now()
    record = content(
        figures,
        version=1,
        previous=earlier,
        previous_digest=before.digest if before else None,
        lines_sha256=lines.sha256,
        people=people,
        published_on=clock.today(),
    )
    text = canonical(record)
    files = build(text, lines.content, now)
    _search(record, files)
    published = PublishedMonth.objects.create(
        month=month,
        record=text,
        digest=digest(text),
        prev_digest=before.digest if before else "",
        prepared_by=preparer,
        reviewed_by=reviewer,
        same_person_reason="" if people["independent"] else people["reason"],
        published_at=now,
    )
    PublishedFile.objects.bulk_create(
        PublishedFile(
            published=published,
            name=file.name,
            content_type=file.content_type,
            content=file.content,
            sha256=file.sha256,
        )
        for file in files
    )
    trail(
        by=by,
        action="month.publish",
        subject=month,
        text=f"{by.label} published {month}.",
        data={"digest": published.digest, "prepared_by": preparer.username, "reviewed_by": reviewer.username},
    )
    return published


def differences(figures: Figures, closing_before: Money | None) -> list[str]:
    """Every sentence about a total of the month that does not foot."""
    return [
        *ledger_differences(figures.ledger),
        *repair_differences(figures.ledger, figures.repairs, figures.loose_cost, REPAIR_COST),
        *extra_differences(figures),
        *carry_difference(figures.ledger.opening, closing_before),
    ]


def _in_order(month: str) -> None:
    done = PublishedMonth.objects.filter(month=month).first()
    if done:
        raise AlreadyDone(
            f"{month} was published on {clock.day_of(done.published_at)}. A published month stays as it is."
        )
    if not Month.objects.filter(key=month, closed_at__isnull=False).exists():
        raise NotReady(f"{month} is not closed. Close it, then publish it.")
    expected = next_to_publish()
    if expected != month:
        raise NotReady(f"Months are published in order: publish {expected} first.")


def _people(preparer: Person, reviewer: Person, reason: str) -> dict[str, Any]:
    if preparer != reviewer:
        return {
            "prepared_by": preparer.label,
            "reviewed_by": reviewer.label,
            "independent": True,
            "reason": "",
        }
    said = " ".join(reason.split())
    if not said:
        raise TwoPeopleNeeded(
            f"{preparer.label} closed this month and so prepared it; someone else should review it. If nobody else can, give"
            " the reason: the page will say that it was not independently reviewed."
        )
    return {
        "prepared_by": preparer.label,
        "reviewed_by": reviewer.label,
        "independent": False,
        "reason": said[:200],
    }


def _search(record: dict[str, Any], files: Sequence[BundleFile]) -> None:
    households = private_values()
    leaks = leaks_in_text(written_texts(record), households)
    leaks += leaks_in_outputs(readable(files), households, signing_names(record))
    refuse_leaks(leaks)
