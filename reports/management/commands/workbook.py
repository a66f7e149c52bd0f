from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from fund.access.models import Person
from fund.refusal import BadInput, Refusal
from reports.workbook.actions import workbook


class Command(BaseCommand):
    help = "Writes the accountant's workbook of whole months: ledger, trial balance, gifts, receipts, repairs, hours."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--from", dest="start", metavar="YYYY-MM", required=True, help="first month")
        parser.add_argument(
            "--to", dest="end", metavar="YYYY-MM", required=True, help="last month, which is in it"
        )
        parser.add_argument(
            "--site",
            metavar="ADDRESS",
            default="",
            help="address of the program; photos' codes open it there",
        )
        parser.add_argument("--by", metavar="USER", help="who takes it out (default: the first active owner)")
        parser.add_argument("file", metavar="FILE", help="where to write the .xlsx file")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            written = workbook(
                by=self.person(options["by"]),
                start=options["start"],
                end=options["end"],
                path=options["file"],
                site=options["site"],
            )
        except BadInput as refusal:
            raise CommandError(str(refusal), returncode=2) from refusal
        except Refusal as refusal:
            raise CommandError(str(refusal), returncode=1) from refusal
        except OSError as error:
            raise CommandError(
                f"{options['file']} cannot be written: {error.strerror}. Choose another place.", returncode=1
            ) from error
        self.stdout.write(f"{options['file']}: {written.span.words}, {written.lines:,} ledger lines.")

    @staticmethod
    def person(username: str | None) -> Person:
        people = Person.objects.filter(is_active=True)
        if username is None:
            found = people.filter(groups__name="owner").order_by("pk").first()
            if found is None:
                raise CommandError(
                    "There is no owner yet. Name who takes the workbook out with --by.", returncode=2
                )
            return found
        found = people.filter(username=username).first()
        if found is None:
            raise CommandError(f"Nobody signs in as “{username}”. Check --by.", returncode=2)
        return found
