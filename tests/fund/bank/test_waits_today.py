"""What waits at the bank is told on Today: lines to the treasurer, a reconciliation to whoever did not prepare it."""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from fund import clock
from fund.access.models import Person
from fund.bank.actions import confirm_all, post_missing
from fund.bank.actions_reconcile import reconcile, review
from fund.bank.queries_open import suggestions
from tests.fund.bank.acts import AFTER, bring, given, line
from tests.fund.bank.files import trn

pytestmark = pytest.mark.django_db


def test_lines_and_reconciliations_wait_for_their_people(
    treasurer: Person, owner: Person, client_for: Callable[[Person], Client], settings: Any, tmp_path: Path
) -> None:
    settings.MEDIA_ROOT = tmp_path

    def today(person: Person) -> str:
        return client_for(person).get("/crew/").content.decode()

    given(treasurer, "900.00", date(2026, 3, 2))
    with clock.at(AFTER):
        assert "of the bank to match" not in today(treasurer)
        bring(treasurer, [trn("a1", "20260303", "900.00"), trn("a2", "20260331", "-9.00")], "891.00")
        assert "lines of the bank to match" in today(treasurer)
        confirm_all(by=treasurer, chosen=suggestions())
        assert "line of the bank to match" in today(treasurer)
        post_missing(by=treasurer, line=line("-9.00"), kind="charge")
        found = reconcile(by=treasurer, month="2026-03")
        assert "bank reconciliation to review" in today(owner)
        assert "bank reconciliation to review" not in today(treasurer)
        review(by=owner, reconciliation=found)
        assert "bank reconciliation to review" not in today(owner)
