"""The typical jobs a new fund begins with, from fixtures/job_types.json."""

import json
from pathlib import Path

from django.conf import settings

from fund.money import Money
from jobs.estimates.models_types import JobType, JobTypeLine

FILE = settings.BASE_DIR / "fixtures" / "job_types.json"
MONEY = ("low", "high")


def load_job_types(path: Path = FILE) -> None:
    """Add what is missing, by code; never change one that is there, since the crew may have made it its own."""
    there = set(JobType.objects.values_list("code", flat=True))
    for row in json.loads(path.read_text(encoding="utf-8")):
        if row["code"] in there:
            continue
        lines = row.pop("lines")
        job_type = JobType.objects.create(**row)
        JobTypeLine.objects.bulk_create(
            JobTypeLine(
                job_type=job_type,
                ordinal=place,
                **{name: Money(value) if name in MONEY else value for name, value in line.items()},
            )
            for place, line in enumerate(lines, start=1)
        )
