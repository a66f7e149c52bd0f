"""The skills and rates a new fund begins with, from fixtures/rates.csv."""

import csv
from datetime import date
from pathlib import Path

from django.conf import settings

from fund.money import parse_money
from jobs.hours.models import Rate, Skill


def load_rates(path: Path | None = None) -> None:
    """Add what is missing; never change a rate that is there. Rows without an amount only name a skill."""
    with open(path or settings.BASE_DIR / "fixtures" / "rates.csv", newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            skill, _ = Skill.objects.get_or_create(
                code=row["skill"], defaults={"name": row["name"], "skilled": row["skilled"] == "yes"}
            )
            if row["amount"]:
                Rate.objects.get_or_create(
                    skill=skill,
                    valid_from=date.fromisoformat(row["valid_from"]),
                    defaults={
                        "amount": parse_money(row["amount"]),
                        "basis": row["basis"],
                        "source": row["source"],
                    },
                )
