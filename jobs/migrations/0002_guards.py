"""Tables whose rows stay as they were written."""

from django.db import migrations

from fund.dbguard import guard

APPEND_ONLY: list[str] = [
    "jobs_checklist",
    "jobs_clockreason",
    "jobs_converterend",
    "jobs_destruction",
    "jobs_fluidline",
    "jobs_guidelinetable",
    "jobs_hoursconfirmation",
    "jobs_hoursentry",
    "jobs_paydecision",
    "jobs_rate",
    "jobs_recalllookup",
    "jobs_refusalend",
    "jobs_waste",
]
# Final too, but for the sealing of what households told: it is renewed with a new key, and removed when it is due.
SEALED: dict[str, list[str]] = {
    "jobs_approval": ["complaint"],
    "jobs_checkin": ["drawn", "signed_by"],
    "jobs_consentchange": ["words"],
    "jobs_converter": ["vin"],
    "jobs_differenthouseholds": ["reason"],
    "jobs_eligibilitydecision": ["snapshot", "words"],
    "jobs_handback": ["complaint", "drawn", "sheet", "signed_by"],
    "jobs_letter": ["text"],
    "jobs_merging": ["reason"],
    "jobs_outofturn": ["reason"],
    "jobs_ownernotice": ["answer", "words"],
    "jobs_owneryes": ["called", "name"],
    "jobs_putright": ["where", "words"],
    "jobs_relationanswer": ["words"],
    "jobs_roadtest": ["passenger"],
    "jobs_unmerging": ["reason"],
    "jobs_unsaferefusal": ["drawn", "signed_by"],
}


class Migration(migrations.Migration):
    dependencies = [("jobs", "0001_initial"), ("fund", "0002_guards")]
    operations = [migrations.RunPython(guard(APPEND_ONLY, SEALED), migrations.RunPython.noop)]
