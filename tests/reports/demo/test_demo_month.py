"""The invented fund, replayed from its files, ends in a month that ties.

The expected figures are a worked month added up by hand beside its description (not by this program): opening net
assets 4,563.15, gifts 2,526.00 after 60.00 returned, spending 1,336.09, closing 5,753.06.
"""

import json
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.test import Client

from fund import clock
from fund.access.models import Person
from fund.bank.models import Reconciliation, StatementFile
from fund.bank.queries_open import open_items, open_lines
from fund.gifts.models import Supporter
from fund.ledger.chart import BANK, CORES, OWED_CREW, PETTY_CASH, SHELF
from fund.ledger.queries import balance, cost_of
from fund.money import Money
from jobs.handback.models import HandBack
from jobs.handback.models_proof import CheckList, Comeback, Reminder
from jobs.intake.models import Application
from jobs.repairs.models import RepairOrder
from reports.demo.cast import PASSWORD
from reports.demo.replay import replay, story
from reports.month.models import PublishedMonth

AFTER = date(2026, 11, 25)


@pytest.fixture
def demo(db: None, settings: object, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path  # type: ignore[attr-defined]
    for _ in replay():
        pass


def command(*words: str) -> str:
    out = StringIO()
    call_command(*words, stdout=out)
    return out.getvalue()


def test_the_worked_month_ties(demo: None) -> None:
    with clock.at(AFTER):
        _opening_and_closing()
        _position()
        _repairs()
        _second_imports()
        _bank()
        _public_page()
        assert json.loads(command("check_books", "--json"))["ok"] is True
        with pytest.raises(CommandError, match="already holds a fund"):
            call_command("demo")
        assert Client().login(username="maren", password=PASSWORD)


def _opening_and_closing() -> None:
    opened, closed = date(2026, 9, 30), date(2026, 10, 31)
    accounts = (BANK, PETTY_CASH, CORES, SHELF, OWED_CREW)
    assert [str(balance(code, until=opened)) for code in accounts] == [
        "4,182.40",
        "100.00",
        "66.00",
        "214.75",
        "0.00",
    ]
    assert [str(balance(code, until=closed)) for code in accounts] == [
        "5,407.49",
        "100.00",
        "0.00",
        "245.57",
        "0.00",
    ]


def _position() -> None:
    printed = json.loads(command("position", "--json"))
    expected = {
        "month": "2026-10",
        "bank": 540749,
        "free_to_commit": 390291,
        "restricted": 12458,
        "reserve": 100000,
        "committed": 38000,
    }
    assert {key: printed[key] for key in expected} == expected
    client = Client()
    client.force_login(
        Person.objects.get(username="maren"), backend="django.contrib.auth.backends.ModelBackend"
    )
    assert "3,902.91" in client.get("/crew/").content.decode()


def _bank() -> None:
    """Fourteen months, each reconciled to 0.00 by the treasurer and reviewed by somebody else; nothing is open."""
    rows = Reconciliation.objects.order_by("month")
    assert [(row.month, str(row.statement_balance)) for row in rows][-1] == ("2026-10", "5,407.49")
    assert len(rows) == 14
    assert {row.prepared_by.username for row in rows} == {"odell"}
    assert {row.review.reviewed_by.username for row in rows} == {"maren", "petra"}
    assert set(StatementFile.objects.values_list("format", flat=True)) == {"OFX", "camt.053", "CSV"}
    assert (list(open_lines()), open_items()) == ([], [])
    waiting = {row.month: len(row.snapshot["outstanding"]) for row in rows if row.snapshot["outstanding"]}
    assert waiting == {"2026-02": 2}  # two repayments of the 28th that the bank showed in March


def _repairs() -> None:
    costs = {"Alder": 18229, "Birch": 23273, "Cedar": 20065, "Elm": 32542, "Dogwood": 0}
    first = RepairOrder.objects.filter(comeback=None)
    numbers = dict(first.filter(alias__in=costs).values_list("alias", "number"))
    assert {alias: cost_of(numbers[alias]) for alias in costs} == {
        alias: Money(cost) for alias, cost in costs.items()
    }
    assert (first.count(), Comeback.objects.get().original.alias) == (21, "Alder")
    assert CheckList.objects.filter(whole=True).count() == HandBack.objects.count() == 20
    due = Reminder.objects.filter(done_on=None).values_list("repair__alias", flat=True)
    assert set(due) == {"Alder", "Birch", "Cedar", "Elm"}  # of the last month; all before are done
    assert Application.objects.count() == 30
    assert 90 <= Supporter.objects.count() <= 105
    months = list(PublishedMonth.objects.order_by("month").values_list("month", flat=True))
    assert (len(months), months[0], months[-1]) == (14, "2025-09", "2026-10")


def _second_imports() -> None:
    folder = Path(settings.BASE_DIR) / "fixtures" / "demo" / "2026-10"
    for name in ("patch-circle", "kettle-card"):
        said = json.loads(
            command("import_payout", str(folder / f"{name}.csv"), "--layout", name, "--json", "--by", "odell")
        )
        assert said["posted"] == 0


def _public_page() -> None:
    page = Client().get("/months/2026-10/").content.decode()
    for figure in ("5,753.06", "4,563.15", "182.29", "232.73", "200.65", "325.42", "124.58", "5,628.48"):
        assert figure in page
    for household in (step["household"] for step in story() if step["do"] == "request"):
        assert household["name"] not in page
        assert household["phone"] not in page
