"""Loads what every fund starts with. Can be run again at any time; changes nothing that is there."""

import csv
from pathlib import Path

from django.conf import settings
from django.db import transaction

from fund.access.actions import install_roles
from fund.gifts.setup import load_basics as load_platforms
from fund.ledger.chart import GENERAL
from fund.ledger.models import Account, Purpose
from fund.letters.setup import load_token_limits
from fund.repayments.setup import load_mileage_rates

FIXTURES: Path = settings.BASE_DIR / "fixtures"


def fixture_rows(name: str) -> list[dict[str, str]]:
    with (FIXTURES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@transaction.atomic
def load_basics() -> None:
    install_roles()
    for row in fixture_rows("accounts.csv"):
        Account.objects.get_or_create(
            code=row["code"],
            defaults={
                "name": row["name"],
                "kind": row["kind"],
                "parent_id": row["parent"] or None,
                "function": row["function"],
            },
        )
    Purpose.objects.get_or_create(code=GENERAL, defaults={"name": "General", "restricted": False})
    load_platforms()
    load_token_limits()
    load_mileage_rates()
