"""When the clock passes the book the mechanic is asked once, and the reason helps whoever prices the next such job.

1.5 times the book hours, from where on it is asked, is common practice and has no source.
"""

from collections.abc import Callable
from datetime import date

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fund.access.models import Person
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady
from fund.rulebook.actions import set_rule
from jobs.estimates.actions_types import choose_job_type
from jobs.estimates.models_types import JobType
from jobs.estimates.queries_past import past_of
from jobs.estimates.rules_past import Past, PastJob
from jobs.hours.actions import add_hours, share_hours, take_back_hours
from jobs.hours.actions_book import say_why
from jobs.hours.models import HoursEntry, Skill
from jobs.hours.models_book import ClockReason
from jobs.hours.queries_book import to_explain
from jobs.hours.rules_book import CAUSES, passes, tallied, words_of
from jobs.repairs.actions_steps import mark_handed_back, mark_tested
from jobs.repairs.models import RepairOrder
from reports.cost.queries import cost_of_repair
from tests.jobs.hours.test_pages import typed
from tests.jobs.workshop import ready

TODAY = date(2026, 3, 15)
ClientFor = Callable[[Person], Client]
ADD = "/crew/hours/add/"


@pytest.mark.parametrize(
    ("clock", "book", "factor", "asked"),
    [
        (30, 20, 15, False),  # exactly 1.5 times
        (31, 20, 15, True),
        (60, 25, 15, True),
        (25, 25, 10, False),
        (26, 25, 10, True),
        (99, None, 15, False),
        (99, 0, 15, False),
        (0, 20, 15, False),
    ],
)
def test_the_clock_passes_the_book_above_the_factor(
    clock: int, book: int | None, factor: int, asked: bool
) -> None:
    assert passes(clock, book, factor) is asked


def test_causes_are_counted_the_most_frequent_first() -> None:
    assert tallied(["first", "rust", "seized", "rust"]) == (
        "rust (2), seized or broken bolts (1), first time on this job (1)"
    )
    assert tallied([]) == ""
    assert (words_of("rust", ""), words_of("rust", "rear"), words_of("other", "a wasp nest")) == (
        "Rust", "Rust: rear", "a wasp nest",
    )  # fmt: skip


def worked(repair: RepairOrder, by: Person, tenths: int) -> HoursEntry:
    skill = Skill.objects.get(code="mechanic")
    return add_hours(by=by, repair=repair, person=by, on=TODAY, tenths=tenths, skill=skill)


def test_six_hours_against_two_by_the_book_are_entered_and_then_explained(
    repair: RepairOrder, volunteer: Person
) -> None:
    row = worked(repair, volunteer, 60)
    passed = to_explain(repair)
    assert passed is not None
    assert passed.sentence == "6.0 h by the clock, 2.0 h by the book."
    kept = say_why(by=volunteer, repair=repair, cause="seized", words="both caliper bolts")
    assert (kept.clock_tenths, kept.book_tenths, kept.factor_tenths) == (60, 20, 15)
    assert kept.told == "Seized or broken bolts: both caliper bolts"
    assert to_explain(repair) is None
    row.refresh_from_db()
    assert row.tenths == 60
    with pytest.raises(AlreadyDone, match="Tavi Brandt has said it already"):
        say_why(by=volunteer, repair=repair, cause="rust")


def test_a_reason_is_refused_within_the_book_without_a_cause_and_by_whoever_does_not_repair(
    repair: RepairOrder, volunteer: Person, treasurer: Person
) -> None:
    with pytest.raises(NotReady, match="within its book hours"):
        say_why(by=volunteer, repair=repair, cause="rust")
    worked(repair, volunteer, 60)
    for cause, words in (("", ""), ("laziness", ""), ("other", " ")):
        with pytest.raises(BadInput):
            say_why(by=volunteer, repair=repair, cause=cause, words=words)
    with pytest.raises(NotAllowed):
        say_why(by=treasurer, repair=repair, cause="rust")
    assert not ClockReason.objects.exists()


def test_hours_that_are_taken_back_leave_nothing_to_explain(repair: RepairOrder, volunteer: Person) -> None:
    row = worked(repair, volunteer, 60)
    take_back_hours(by=volunteer, hours=row, reason="another vehicle")
    assert to_explain(repair) is None


def test_a_reason_stays_as_it_was_given(repair: RepairOrder, volunteer: Person) -> None:
    worked(repair, volunteer, 60)
    kept = say_why(by=volunteer, repair=repair, cause="rust")
    with pytest.raises(DatabaseError), transaction.atomic():
        ClockReason.objects.filter(pk=kept.pk).update(cause="first")
    with pytest.raises(DatabaseError), transaction.atomic():
        kept.delete()


def test_the_rule_decides_from_where_on_it_is_asked(
    repair: RepairOrder, volunteer: Person, owner: Person
) -> None:
    worked(repair, volunteer, 60)
    set_rule(by=owner, name="clock_factor_tenths", value="30", valid_from=TODAY, reason="old vehicles")
    assert to_explain(repair) is None  # three times exactly


def test_the_entry_that_passes_the_book_leads_to_the_question_and_later_ones_do_not(
    repair: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    client = client_for(volunteer)
    home, asks = f"/crew/repairs/{repair.number}/", f"/crew/hours/why/{repair.number}/"
    leads = [client.post(ADD, typed(repair, tenths=tenths))["Location"] for tenths in ("3.0", "0.1", "2.0")]
    assert leads == [home, asks, home]
    assert HoursEntry.objects.count() == 3  # none was stopped


def test_hours_of_several_people_count_together_and_office_work_is_never_asked_about(
    repair: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    client = client_for(volunteer)
    told = typed(repair, tenths="1.6", others=["jun"], each="each")
    assert client.post(ADD, told)["Location"] == f"/crew/hours/why/{repair.number}/"
    assert client.post(ADD, typed(None, tenths="9.0"))["Location"] == "/crew/hours/"


def test_whoever_does_not_write_on_repairs_is_not_asked(
    repair: RepairOrder, treasurer: Person, client_for: ClientFor
) -> None:
    lead = client_for(treasurer).post(ADD, typed(repair, tenths="6.0", person="tavi"))
    assert lead["Location"] == f"/crew/repairs/{repair.number}/"


def test_the_page_keeps_the_reason_and_the_cost_page_shows_it(
    repair: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    client = client_for(volunteer)
    asks, cost = f"/crew/hours/why/{repair.number}/", f"/crew/repairs/{repair.number}/cost/"
    assert client.get(asks)["Location"] == cost  # nothing to ask
    assert "Why longer" not in client.get(cost).content.decode()
    worked(repair, volunteer, 60)
    assert "not said yet" in client.get(cost).content.decode()
    page = client.get(asks).content.decode()
    assert "6.0 h by the clock, 2.0 h by the book." in page
    assert all(words in page for words in CAUSES.values())
    wrong = client.post(asks, {"cause": "other", "words": ""})
    assert wrong.status_code == 422
    assert "Say in a few words what it was." in wrong.content.decode()
    assert (
        client.post(asks, {"cause": "rust", "words": "rear axle"})["Location"]
        == f"/crew/repairs/{repair.number}/"
    )
    shown = client.get(cost).content.decode()
    assert "Rust: rear axle" in shown
    assert "not said yet" not in shown
    again = client.post(asks, {"cause": "first", "words": ""})
    assert again.status_code == 422
    assert "has said it already" in again.content.decode()


def test_the_page_of_the_hand_back_asks_as_long_as_nobody_has_said_why(
    repair: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    client, page = client_for(volunteer), f"/crew/repairs/{repair.number}/hand-back/"
    words = "Say why it took longer"
    assert words not in client.get(page).content.decode()
    worked(repair, volunteer, 60)
    assert words in client.get(page).content.decode()
    say_why(by=volunteer, repair=repair, cause="rust")
    assert words not in client.get(page).content.decode()


def test_the_cost_page_asks_the_database_less_than_ten_times(repair: RepairOrder, volunteer: Person) -> None:
    worked(repair, volunteer, 60)
    for _ in range(2):
        with CaptureQueriesContext(connection) as asked:
            cost_of_repair(repair.number)
        assert len(asked) < 10
        if not ClockReason.objects.exists():
            say_why(by=volunteer, repair=repair, cause="rust")


# By hand: 6.0 + 2.0 = 8.0 h by the clock, 2.5 + 2.0 = 4.5 h by the book: 177.8 percent; 3.0 x 8.0 / 4.5 = 5.33 h.
def test_earlier_ones_tell_how_long_the_next_one_takes() -> None:
    rows = (
        PastJob("RO-2", Money(1), Money(1), 60, 25, "rust", "Rust"),
        PastJob("RO-1", Money(1), Money(1), 20, 20),
        PastJob("RO-0", Money(1), Money(1), 50, None),  # no book hours, so nothing to compare
    )
    past = Past(rows)
    assert (past.hours_percent, past.planned(30), past.planned(None)) == (178, 54, None)
    assert past.hours_sentence == (
        "By the clock they took 8.0 h where the book gives 4.5 h, 178% of it. Why longer: rust (1)."
    )
    assert (Past(rows[2:]).hours_sentence, Past(rows[2:]).planned(30)) == ("", None)


def test_the_estimate_of_the_next_one_shows_the_hours_and_reasons_of_earlier_ones(
    repair: RepairOrder, owner: Person, screener: Person, volunteer: Person, client_for: ClientFor
) -> None:
    brakes = JobType.objects.filter(active=True).earliest("pk")
    choose_job_type(by=volunteer, repair=repair, job_type=brakes)
    worked(repair, volunteer, 60)
    say_why(by=volunteer, repair=repair, cause="seized", words="both caliper bolts")
    mark_tested(by=volunteer, repair=repair)
    mark_handed_back(by=volunteer, repair=repair)
    (row,) = past_of(brakes).rows
    assert (row.clock, row.book, row.cause) == (60, 20, "seized")
    again = ready(screener, volunteer, owner, name="The next one")
    choose_job_type(by=volunteer, repair=again, job_type=brakes)
    page = client_for(volunteer).get(f"/crew/repairs/{again.number}/estimate/").content.decode()
    assert "By the clock they took 6.0 h where the book gives 2.0 h, 300% of it." in page
    assert "Where the book gives 2.0, plan 6.0 h." in page
    assert "Seized or broken bolts: both caliper bolts" in page


def test_several_people_entered_by_the_action_are_asked_about_alike(
    repair: RepairOrder, volunteer: Person, volunteer2: Person
) -> None:
    skill = Skill.objects.get(code="mechanic")
    share_hours(by=volunteer, repair=repair, people=[volunteer, volunteer2], on=TODAY, tenths=62, skill=skill)
    passed = to_explain(repair)
    assert passed is not None
    assert passed.clock == 62
