import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from fund.commitments.queries import position
from fund.ledger.rules import last_day
from fund.refusal import BadInput
from reports.position.rules import as_json


class Command(BaseCommand):
    help = "Prints where the fund stands: the bank, every subtraction, and what is free to commit."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--json", action="store_true", help="print the answer for a program to read, in minor units"
        )
        parser.add_argument("--month", metavar="YYYY-MM", help="at the end of this month instead of today")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            now = position(last_day(options["month"]) if options["month"] else None)
        except BadInput as refusal:
            raise CommandError(refusal.sentence, returncode=2) from refusal
        if options["json"]:
            self.stdout.write(json.dumps(as_json(now)))
            return
        rows = [
            ("Bank", now.bank),
            *((f"less {item.label.lower()}", -item.amount) for item in now.subtractions),
        ]
        for label, amount in [*rows, ("Free to commit", now.free_to_commit)]:
            self.stdout.write(f"{label:<44}{amount!s:>14}")
