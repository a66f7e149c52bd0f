"""Copies of papers: sealed on the disk, opened by few, deleted on their day."""

from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import DatabaseError, transaction

from fund import clock
from fund.access.models import Person
from fund.refusal import BadInput, NotAllowed, NotReady, TwoPeopleNeeded
from fund.trail.models import TrailLine
from jobs.eligibility.actions import sight
from jobs.households.actions_keep import forget_households
from jobs.households.actions_papers import keep_copy, place_of, read_copy
from jobs.households.models import Sighting
from jobs.households.models_papers import PaperCopy
from jobs.intake.actions import answer_relation
from tests.fund.attachments.makers import pdf, photo
from tests.jobs.intake.people import application_of_three

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 15)


@pytest.fixture
def paper(settings: Any, tmp_path: Path, screener: Person) -> Sighting:
    settings.MEDIA_ROOT = tmp_path
    household = application_of_three(screener).household
    return sight(by=screener, household=household, kind="pay stub", document_date=date(2026, 3, 1))


def upload(name: str = "Quarrender stub March.jpg", data: bytes = b"") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data or photo())


def test_a_copy_lies_sealed_under_a_name_that_says_nothing(
    paper: Sighting, screener: Person, tmp_path: Path
) -> None:
    copy = keep_copy(by=screener, sighting=paper, upload=upload())
    files = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert [path.suffix for path in files] == [".sealed"]
    assert "Quarrender" not in str(files[0])
    assert b"JFIF" not in files[0].read_bytes()
    assert not files[0].read_bytes().startswith(b"\xff\xd8")
    assert files[0].stat().st_mode & 0o077 == 0
    assert read_copy(by=screener, copy=copy).startswith(b"\xff\xd8")
    assert copy.name == "Quarrender stub March.jpg"
    assert copy.delete_on == DAY + timedelta(days=90)


def test_every_reading_leaves_a_line_in_the_trail(paper: Sighting, screener: Person, owner: Person) -> None:
    copy = keep_copy(by=screener, sighting=paper, upload=upload("x.pdf", pdf()))
    read_copy(by=owner, copy=copy)
    line = TrailLine.objects.get(action="paper.open")
    assert (line.by, line.subject) == (owner, "H-0001")


@pytest.mark.parametrize("days", [-1, 91])
def test_the_day_it_is_deleted_is_soon_enough(paper: Sighting, screener: Person, days: int) -> None:
    with pytest.raises(BadInput, match="deleted between 2026-03-15 and 2026-06-13"):
        keep_copy(by=screener, sighting=paper, upload=upload(), delete_on=DAY + timedelta(days=days))
    assert not PaperCopy.objects.exists()


def test_who_may_not_see_papers_and_who_has_a_tie_sees_none(
    paper: Sighting, screener: Person, volunteer: Person, accountant: Person, owner: Person
) -> None:
    copy = keep_copy(by=screener, sighting=paper, upload=upload())
    for person in (volunteer, accountant):
        with pytest.raises(NotAllowed):
            read_copy(by=person, copy=copy)
    application = paper.household.applications.get()
    answer_relation(by=owner, application=application, tie=True, words="A neighbor")
    with pytest.raises(TwoPeopleNeeded):
        read_copy(by=owner, copy=copy)


def test_on_its_day_the_file_goes_and_the_log_says_so(
    paper: Sighting, screener: Person, tmp_path: Path
) -> None:
    copy = keep_copy(by=screener, sighting=paper, upload=upload(), delete_on=DAY + timedelta(days=10))
    assert forget_households(by=None, on=DAY + timedelta(days=9)) == []
    with clock.at(DAY + timedelta(days=10)):
        lines = forget_households(by=None)
    assert [(line.kept_class, line.counts, line.due_on) for line in lines] == [
        ("copies of papers", {"copies": 1}, DAY + timedelta(days=10))
    ]
    assert not place_of(copy).exists()
    copy.refresh_from_db()
    assert (copy.deleted_on, copy.name) == (DAY + timedelta(days=10), "")
    with pytest.raises(NotReady, match="deleted on its day"):
        read_copy(by=screener, copy=copy)
    with pytest.raises(DatabaseError, match="what is written stays"), transaction.atomic():
        lines[0].delete()


def test_a_file_that_is_no_paper_is_refused(paper: Sighting, screener: Person, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="Inside it is a web page"):
        keep_copy(by=screener, sighting=paper, upload=upload("x.jpg", b"<html><script>"))
    assert not any(path.is_file() for path in tmp_path.rglob("*"))
