"""The figures for small benefits that a new fund begins with, from fixtures/token_limits.csv."""

import csv
from pathlib import Path

from django.conf import settings

from fund.letters.models import TokenLimit
from fund.money import parse_money


def load_token_limits(path: Path | None = None) -> None:
    """Add the years that are missing; never change one that is there."""
    known = set(TokenLimit.objects.values_list("year", flat=True))
    file = path or settings.BASE_DIR / "fixtures" / "token_limits.csv"
    with file.open(newline="", encoding="utf-8") as rows:
        TokenLimit.objects.bulk_create(
            TokenLimit(
                year=int(row["year"]),
                low_cost=parse_money(row["low_cost"]),
                floor=parse_money(row["floor"]),
                cap=parse_money(row["cap"]),
                procedure=row["procedure"],
                seen=row["seen"],
                source=row["source"],
            )
            for row in csv.DictReader(rows)
            if int(row["year"]) not in known
        )
