import json
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from fund import clock
from jobs.households.actions_keep import forget_households
from jobs.households.queries_keep import due_on
from jobs.intake.actions_draft import drop_old_drafts


class Command(BaseCommand):
    help = (
        "Destroys what of households' data is due by the rules of the fund, and writes the destruction log."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--dry-run", action="store_true", help="only tell what is due")
        parser.add_argument("--json", action="store_true", help="print the answer for a program to read")

    def handle(self, *args: Any, **options: Any) -> None:
        on: date = clock.today()
        drafts = 0 if options["dry_run"] else drop_old_drafts()
        if options["dry_run"]:
            rows = [
                {
                    "household": household.code,
                    "what": row.kept_class,
                    "due": str(row.due_on),
                    "rule": row.rule,
                }
                for household, dues in due_on(on)
                for row in dues
            ]
        else:
            try:
                lines = forget_households(by=None, on=on)
            except OSError as error:
                raise CommandError(
                    f"A file could not be deleted: {error.strerror}. Run this again."
                ) from error
            rows = [
                {
                    "household": line.household.code,
                    "what": line.kept_class,
                    "due": str(line.due_on),
                    "rule": line.rule,
                }
                for line in lines
            ]
        if options["json"]:
            self.stdout.write(json.dumps(rows))
            return
        for row in rows:
            self.stdout.write(f"{row['household']}  {row['what']:<20} due {row['due']}  {row['rule']}")
        if drafts:
            self.stdout.write(f"{drafts} requests that were begun and never sent deleted.")
        verb = "due" if options["dry_run"] else "destroyed"
        self.stdout.write(f"{len(rows)} {verb} on {on}.")
