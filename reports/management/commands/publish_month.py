import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from fund import clock
from fund.ledger.rules import first_day
from fund.refusal import BadInput, Refusal
from reports.management.signing import add_person, crew
from reports.month.actions import publish_month
from reports.month.bundle import write_out
from reports.month.models import PublishedMonth
from reports.month.queries import files_of


class Command(BaseCommand):
    help = (
        "Publishes a closed month: its page, record, lines, PDF and charts. With --out also writes them into a folder; "
        "a month that was published before is only written out again."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("month", metavar="YYYY-MM")
        parser.add_argument(
            "--out", metavar="DIR", type=Path, help="write the files of the month into this folder"
        )
        add_person(parser, "--by", "month.publish", "who publishes and signs as reviewer")
        parser.add_argument(
            "--reason", default="", help="why whoever closed the month publishes it too, if so"
        )
        parser.add_argument("--json", action="store_true", help="print the answer for a program to read")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            first_day(options["month"])
        except BadInput as refusal:
            raise CommandError(refusal.sentence, returncode=2) from refusal
        try:
            published, new = self.publish(options)
        except Refusal as refusal:
            if options["json"]:
                self.stdout.write(
                    json.dumps({"ok": False, "reason": refusal.sentence, "details": refusal.details})
                )
            raise CommandError(str(refusal), returncode=1) from refusal
        written = self.write(published, options["out"])
        if options["json"]:
            answer = {"ok": True, "month": published.month, "published_now": new, "digest": published.digest}
            self.stdout.write(json.dumps({**answer, "files": [str(path) for path in written]}))
            return
        day = clock.day_of(published.published_at)
        self.stdout.write(
            f"{published.month} is published." if new else f"{published.month} was published on {day}."
        )
        self.stdout.write(f"SHA-256 of the record: {published.digest}")
        if written:
            self.stdout.write(f"{len(written)} files are in {options['out']}.")

    def publish(self, options: dict[str, Any]) -> tuple[PublishedMonth, bool]:
        before = PublishedMonth.objects.filter(month=options["month"]).first()
        if before and options["out"]:
            return before, False
        by = crew(options["by"], "month.publish")
        return publish_month(by=by, month=options["month"], reason=options["reason"]), True

    def write(self, published: PublishedMonth, folder: Path | None) -> list[Path]:
        if folder is None:
            return []
        try:
            return write_out(files_of(published), folder)
        except OSError as error:
            raise CommandError(
                f"The files could not be written into {folder}: {error.strerror}.", returncode=1
            ) from error
