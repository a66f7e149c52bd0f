"""Tables whose rows stay as they were written."""

from django.db import migrations

from fund.dbguard import guard

APPEND_ONLY: list[str] = [
    "reports_publicwording",
    "reports_publishedfile",
    "reports_publishedmonth",
]


class Migration(migrations.Migration):
    dependencies = [("reports", "0001_initial"), ("fund", "0002_guards")]
    operations = [migrations.RunPython(guard(APPEND_ONLY), migrations.RunPython.noop)]
