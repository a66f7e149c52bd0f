"""A month as it would be published now, for the crew to look at before it is."""

from dataclasses import dataclass
from typing import Any

from fund import clock
from fund.money import Money
from reports.month.actions import differences
from reports.month.models import PublishedMonth
from reports.month.queries import figures_of, last_published, record_of
from reports.month.queries_jobs import private_values
from reports.month.rules import RepairLine
from reports.month.rules_content import content
from reports.month.rules_page import page_of
from reports.month.rules_privacy import leaks_in_text
from reports.month.rules_texts import written_texts


@dataclass(frozen=True, slots=True)
class Preview:
    """``page`` as the template takes it; what does not foot; what would be refused as private."""

    page: dict[str, Any]
    differences: list[str]
    leaks: list[str]
    repairs: tuple[RepairLine, ...]


def preview_of(month: str) -> Preview:
    before = last_published()
    earlier = record_of(before) if before and before.month < month else None
    figures = figures_of(month)
    people = {"prepared_by": "", "reviewed_by": "", "independent": True, "reason": ""}
    record = content(
        figures,
        version=1,
        previous=earlier,
        previous_digest=before.digest if before else None,
        lines_sha256="",
        people=people,
        published_on=clock.today(),
    )
    page = {**page_of(record, ""), "charts": [], "preview": True}
    leaks = leaks_in_text(written_texts(record), private_values())
    closing = Money(earlier["closing"]) if earlier else None
    return Preview(page, differences(figures, closing), [leak.sentence for leak in leaks], figures.repairs)


def page_of_published(published: PublishedMonth) -> dict[str, Any]:
    return page_of(record_of(published), published.digest)
