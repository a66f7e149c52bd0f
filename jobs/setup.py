"""The tables a new fund begins with. Safe to run again: what is there stays."""

from django.conf import settings

from jobs.eligibility.actions_tables import load_guidelines
from jobs.estimates.setup import load_job_types
from jobs.hours.setup import load_rates


def load_basics() -> None:
    load_guidelines(by=None, csv_file=settings.BASE_DIR / "fixtures" / "guidelines.csv")
    load_rates()
    load_job_types()
