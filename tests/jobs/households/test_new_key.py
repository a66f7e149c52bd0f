import json
from io import StringIO
from typing import Any

import pytest
from cryptography.fernet import Fernet
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command

from fund.access.models import Person
from jobs.eligibility.models import EligibilityDecision
from jobs.households import identity
from jobs.households.actions import enter_household
from jobs.households.actions_papers import keep_copy, place_of, read_copy
from jobs.households.identity import Identity
from jobs.households.models import Household, Sighting
from jobs.households.queries_search import alike_to
from jobs.households.rules import MemberFacts
from tests.fund.attachments.makers import photo
from tests.jobs.households.stored import MARKS, marked

pytestmark = pytest.mark.django_db
OLD, NEW = Fernet.generate_key().decode(), Fernet.generate_key().decode()


def reseal() -> dict[str, int]:
    out = StringIO()
    call_command("reseal_households", "--json", stdout=out)
    return dict(json.loads(out.getvalue()))


def test_everything_goes_under_the_new_key_and_the_old_one_can_be_dropped(
    settings: Any, screener: Person, volunteer: Person, tmp_path: Any
) -> None:
    settings.MEDIA_ROOT = tmp_path
    settings.HOUSEHOLD_KEYS = [OLD]
    application = marked(screener, volunteer)
    copy = keep_copy(
        by=screener, sighting=Sighting.objects.get(), upload=SimpleUploadedFile("stub.jpg", photo())
    )
    before = EligibilityDecision.objects.get().snapshot
    settings.HOUSEHOLD_KEYS = [NEW, OLD]
    looked_for = Identity(phones=(MARKS["phone"],))
    assert [row.household for row in alike_to(looked_for)] == [application.household]
    counts = reseal()
    assert (counts["household"], counts["member"], counts["income"], counts["files"]) == (1, 2, 2, 1)
    assert counts["digests"] > 5
    assert set(reseal().values()) == {0}
    settings.HOUSEHOLD_KEYS = [NEW]
    assert Household.objects.get().phone == MARKS["phone"]
    assert EligibilityDecision.objects.get().snapshot == before
    assert [row.household for row in alike_to(looked_for)] == [application.household]
    assert read_copy(by=screener, copy=copy)
    assert place_of(copy).read_bytes()


def test_records_tidied_otherwise_before_are_found_again(
    screener: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    people = [MemberFacts(name="Ben Ruiz", relation="applicant", adult=True)]
    with monkeypatch.context() as before:
        before.setattr(identity, "tidy_address", lambda text: text.split(",")[0].lower())
        known = enter_household(
            by=screener, name="Ben Ruiz", members=people, address="Apt 4, 12 Mill St", phone="212-555-0142"
        )
    looked_for = Identity(addresses=("12 Mill Street Apt 4",))
    assert alike_to(looked_for) == []
    counts = reseal()
    assert {name: count for name, count in counts.items() if count} == {"digests": 1}
    assert [row.household for row in alike_to(looked_for)] == [known]
    assert [row.household for row in alike_to(Identity(phones=("2125550142",)))] == [known]
    assert alike_to(Identity(addresses=("Apt 4, 900 River Rd",))) == []
    assert set(reseal().values()) == {0}


def test_without_the_old_key_nothing_is_touched(settings: Any, screener: Person, volunteer: Person) -> None:
    settings.HOUSEHOLD_KEYS = [OLD]
    marked(screener, volunteer)
    settings.HOUSEHOLD_KEYS = [NEW]
    with pytest.raises(CommandError, match="HOUSEHOLD_KEYS lacks the key"):
        call_command("reseal_households")
    settings.HOUSEHOLD_KEYS = [OLD]
    assert Household.objects.get().phone == MARKS["phone"]
