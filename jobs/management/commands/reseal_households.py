import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from fund.sealed import CannotOpen
from jobs.households.actions_keys import reseal_households


class Command(BaseCommand):
    help = "Seals everything households told anew under the first key of HOUSEHOLD_KEYS. Can be run again."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--json", action="store_true", help="print the answer for a program to read")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            counts = reseal_households(by=None)
        except CannotOpen as refusal:
            raise CommandError(str(refusal)) from refusal
        if options["json"]:
            self.stdout.write(json.dumps(counts))
            return
        for name, count in counts.items():
            self.stdout.write(f"{count:>8}  {name}")
        if not any(counts.values()):
            self.stdout.write("Everything is under the first key. The older keys can be dropped.")
