from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from fund.money import Money
from jobs.estimates.models_types import JobType
from jobs.repairs.models import RepairOrder
from tests.jobs.workshop import checked_in, eligible

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
WIPERS = {
    "name": "Wiper motor", "book_from": "0.8", "book_to": "1.2", "complaint": "Wipers stand still", "cause": "",
    "verify": "Parks itself\nBoth speeds\n", "cautions": "Key out", "care": "", "reminders": "30 Call",
    "source": "the crew's own", "active": "on", "rows": "1",
    "line-0-kind": "part", "line-0-text": "Wiper motor", "line-0-low": "45.00", "line-0-high": "120.00",
    "line-0-quantity": "", "line-0-unit": "", "line-0-condition": "used",
}  # fmt: skip


def test_a_typical_job_is_written_from_its_page(volunteer: Person, client_for: SignIn) -> None:
    answer = client_for(volunteer).post("/crew/repairs/typical-jobs/add/", WIPERS)
    assert answer["Location"] == "/crew/repairs/typical-jobs/wiper-motor/"
    job = JobType.objects.get(code="wiper-motor")
    assert (job.book_from, job.book_to, job.verify) == (8, 12, ["Parks itself", "Both speeds"])
    assert job.reminders == [{"days": 30, "text": "Call"}]
    assert (job.lines.get().low, job.lines.get().high) == (Money(45_00), Money(120_00))


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"verify": ""}, "what a second person verifies"),
        ({"reminders": "soon call"}, "does not begin with a number of days"),
        ({"line-0-low": "4x"}, "Line 1, from"),
        ({"line-0-low": "200.00"}, "smaller price first"),
        ({"name": "starter"}, "already on the list"),
    ],
)
def test_what_is_wrong_is_named_and_nothing_typed_is_lost(
    volunteer: Person, client_for: SignIn, wrong: dict[str, str], sentence: str
) -> None:
    answer = client_for(volunteer).post("/crew/repairs/typical-jobs/add/", {**WIPERS, **wrong})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert 'value="Wipers stand still"' in page
    assert 'value="120.00"' in page
    assert not JobType.objects.filter(name__iexact="wiper motor").exists()


def test_every_shipped_job_comes_back_from_its_form_as_it_was(volunteer: Person, client_for: SignIn) -> None:
    client = client_for(volunteer)
    for job in JobType.objects.all():
        url = f"/crew/repairs/typical-jobs/{job.code}/change/"
        page = client.get(url)
        form, rows = page.context["form"], page.context["rows"]
        typed = {name: form[name].value() for name in form.fields if form[name].value() not in (None, False)}
        for line in rows.forms:
            for name in line.fields:
                value = line[name].value()
                typed[f"{line.prefix}-{name}"] = "" if value is None else str(value)
        before = {**vars(job), "_state": None}
        lines = list(job.lines.values_list("kind", "text", "quantity", "unit", "condition", "low", "high"))
        answer = client.post(url, {**typed, "rows": str(len(rows.forms))})
        assert answer.status_code == 302, (job, answer.context and answer.context["form"].errors)
        again = JobType.objects.get(pk=job.pk)
        assert {**vars(again), "_state": None} == before
        assert (
            list(again.lines.values_list("kind", "text", "quantity", "unit", "condition", "low", "high"))
            == lines
        )


def test_the_page_of_a_job_shows_what_can_hurt_first(volunteer: Person, client_for: SignIn) -> None:
    page = client_for(volunteer).get("/crew/repairs/typical-jobs/fuel-pump/").content.decode()
    assert page.index("Relieve the fuel pressure first") < page.index("Pressure holds after the key is off")
    assert "common practice" in page


def test_a_typical_job_is_chosen_on_the_repairs_page(
    screener: Person, volunteer: Person, client_for: SignIn
) -> None:
    repair = checked_in(volunteer, eligible(screener))
    belt = JobType.objects.get(code="belt")
    client = client_for(volunteer)
    page = client.post(
        f"/crew/repairs/{repair.number}/typical-job/", {"typical_job": belt.pk}, follow=True
    ).content.decode()
    assert "Drive belt and tensioner" in page
    assert RepairOrder.objects.get(pk=repair.pk).typical_job == belt
