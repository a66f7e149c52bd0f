import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from fund.ledger.rules import first_day
from fund.refusal import BadInput, Refusal
from reports.management.signing import add_person, crew
from reports.month.actions import close_month
from reports.month.queries_close import close_list


class Command(BaseCommand):
    help = "Closes a month: its lines and balances are then fixed. With --list, only says what stops it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("month", metavar="YYYY-MM")
        add_person(parser, "--by", "month.close", "who closes")
        parser.add_argument("--list", action="store_true", help="show the close list and close nothing")
        parser.add_argument("--json", action="store_true", help="print the answer for a program to read")

    def handle(self, *args: Any, **options: Any) -> None:
        month = options["month"]
        try:
            first_day(month)
        except BadInput as refusal:
            raise CommandError(refusal.sentence, returncode=2) from refusal
        if options["list"]:
            self.show(month, options["json"])
            return
        try:
            closed = close_month(by=crew(options["by"], "month.close"), month=month)
        except Refusal as refusal:
            if options["json"]:
                self.stdout.write(
                    json.dumps({"ok": False, "reason": refusal.sentence, "details": refusal.details})
                )
            raise CommandError(str(refusal), returncode=1) from refusal
        if options["json"]:
            self.stdout.write(json.dumps({"ok": True, "month": closed.key}))
        else:
            self.stdout.write(f"{closed.key} is closed.")

    def show(self, month: str, as_json: bool) -> None:
        stops = close_list(month)
        if as_json:
            rows = [
                {"code": row.code, "text": row.text, "who": row.who, "blocks": row.blocks} for row in stops
            ]
            self.stdout.write(json.dumps({"month": month, "stops": rows}, ensure_ascii=False))
            return
        for stop in stops:
            self.stdout.write(f"{stop.word}: {stop.text} ({stop.who})")
        if not stops:
            self.stdout.write("Nothing is on the close list.")
