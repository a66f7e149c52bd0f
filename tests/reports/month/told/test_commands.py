import json
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from fund import clock
from jobs.repairs.models import RepairOrder
from reports.month.models import PublishedMonth
from tests.reports.month.march import Crew

AFTER = date(2026, 4, 3)


def run(*words: str) -> str:
    out = StringIO()
    call_command(*words, stdout=out)
    return out.getvalue()


def test_close_month_closes_and_says_so(orders: dict[str, RepairOrder], crew: Crew) -> None:
    with clock.at(AFTER):
        assert run("close_month", "2026-03", "--by", "odell") == "2026-03 is closed.\n"


def test_close_month_refuses_with_exit_code_1_and_the_reason(
    orders: dict[str, RepairOrder], crew: Crew
) -> None:
    with clock.at(date(2026, 3, 31)), pytest.raises(CommandError) as refused:
        run("close_month", "2026-03", "--by", "odell")
    assert refused.value.returncode == 1
    assert "2026-03 is not over yet" in str(refused.value)


def test_close_month_shows_its_list(orders: dict[str, RepairOrder], crew: Crew) -> None:
    with clock.at(date(2026, 3, 31)):
        stops = json.loads(run("close_month", "2026-03", "--list", "--json"))["stops"]
    assert [(stop["code"], stop["blocks"]) for stop in stops] == [
        ("not over", True),
        ("bank", False),
        ("petty cash", False),
        ("no photo", False),
    ]


@pytest.mark.parametrize("command", ["close_month", "publish_month"])
@pytest.mark.parametrize("month", ["2026-13", "March", "2026-3"])
@pytest.mark.django_db
def test_what_is_no_month_is_exit_code_2(command: str, month: str) -> None:
    with pytest.raises(CommandError) as refused:
        run(command, month, "--by", "maren")
    assert refused.value.returncode == 2
    assert "is not a month" in str(refused.value)


def test_the_only_person_who_may_publish_need_not_be_named(
    closed: dict[str, RepairOrder], crew: Crew
) -> None:
    with clock.at(AFTER):
        answer = json.loads(run("publish_month", "2026-03", "--json"))
    published = PublishedMonth.objects.get(month="2026-03")
    assert answer == {
        "ok": True,
        "month": "2026-03",
        "published_now": True,
        "digest": published.digest,
        "files": [],
    }
    assert published.reviewed_by == crew.owner
    assert published.prepared_by == crew.treasurer


def test_when_several_may_close_someone_must_be_named(orders: dict[str, RepairOrder], crew: Crew) -> None:
    with clock.at(AFTER), pytest.raises(CommandError, match="maren, odell"):
        run("close_month", "2026-03")


def test_an_unknown_person_is_refused(orders: dict[str, RepairOrder], crew: Crew) -> None:
    with pytest.raises(CommandError, match="signs in as “nobody”"):
        run("close_month", "2026-03", "--by", "nobody")


def test_the_bundle_on_disk_is_what_is_served(
    published: PublishedMonth, client: object, tmp_path: Path
) -> None:
    from django.test import Client

    said = run("publish_month", "2026-03", "--out", str(tmp_path / "march"))
    assert "was published on 2026-04-03" in said
    web = Client()
    written = sorted(path for path in (tmp_path / "march").rglob("*") if path.is_file())
    assert len(written) == 14
    for path in written:
        name = path.relative_to(tmp_path / "march").as_posix()
        assert web.get(f"/months/2026-03/{name}").content == path.read_bytes(), name


def test_the_page_on_disk_refers_only_to_files_beside_it(published: PublishedMonth, tmp_path: Path) -> None:
    import re

    run("publish_month", "2026-03", "--out", str(tmp_path))
    page = (tmp_path / "index.html").read_text()
    for address in re.findall(r'(?:href|src|srcset)="([^"#]+)"', page):
        assert (tmp_path / address).is_file(), address
    served = re.sub(r'"/months/2026-03/', '"', Path(tmp_path / "index.html").read_text())
    assert served == page


def test_publishing_again_without_a_folder_is_refused(published: PublishedMonth) -> None:
    with pytest.raises(CommandError, match="stays as it is"):
        run("publish_month", "2026-03", "--by", "maren")


def test_a_folder_that_cannot_be_written_is_said(published: PublishedMonth, tmp_path: Path) -> None:
    (tmp_path / "march").write_text("a file, not a folder")
    with pytest.raises(CommandError, match="could not be written"):
        run("publish_month", "2026-03", "--out", str(tmp_path / "march"))


def test_a_refusal_as_json_names_the_reason(orders: dict[str, RepairOrder], crew: Crew) -> None:
    out = StringIO()
    with pytest.raises(CommandError) as refused:
        call_command("publish_month", "2026-03", "--json", stdout=out)
    assert refused.value.returncode == 1
    assert json.loads(out.getvalue()) == {
        "ok": False, "reason": "2026-03 is not closed. Close it, then publish it.", "details": [],
    }  # fmt: skip
