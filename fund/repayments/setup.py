"""The mileage rates that a new fund begins with, from fixtures/mileage.csv (cents a mile, whole or with one place)."""

import csv
from datetime import date
from pathlib import Path

from django.conf import settings

from fund.repayments.models import MileageRate


def load_mileage_rates(path: Path | None = None) -> None:
    """Add the days that are missing; never change one that is there."""
    known = set(MileageRate.objects.values_list("valid_from", flat=True))
    file = path or settings.BASE_DIR / "fixtures" / "mileage.csv"
    with file.open(newline="", encoding="utf-8") as rows:
        for row in csv.DictReader(rows):
            whole, _, part = row["cents"].partition(".")
            since = date.fromisoformat(row["valid_from"])
            if since not in known:
                MileageRate.objects.create(
                    valid_from=since, tenths=int(whole) * 10 + int(part or 0), source=row["source"]
                )
