import json
import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from tqdm import tqdm

from fund.access.models import Person
from fund.access.powers import TREASURER
from fund.letters.actions_batch import go_on, start_batch
from fund.letters.models import Letter, LetterBatch
from fund.letters.queries import letters_to_print
from fund.letters.sheet import letters_pdf
from fund.refusal import AlreadyDone, Refusal


class Command(BaseCommand):
    help = (
        "Writes the letters of a year, one for each supporter with a gift in it that stands in no letter. Run again it "
        "goes on where it was interrupted, or writes nothing and says so. Exit code 0 done, 1 refused, 2 called wrongly."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--year", type=int, required=True, help="the calendar year, which must be over")
        parser.add_argument(
            "--out", metavar="FILE", help="write all letters of the year that stand as one PDF"
        )
        parser.add_argument(
            "--by", metavar="USERNAME", help="who writes; needed unless there is just one treasurer"
        )
        parser.add_argument("--json", action="store_true", help="answer for a program")

    def handle(self, *args: Any, **options: Any) -> None:
        year, as_json = options["year"], options["json"]
        out = Path(options["out"]) if options["out"] else None
        if out and not out.absolute().parent.is_dir():
            raise CommandError(f"There is no folder {out.absolute().parent}.", returncode=2)
        person = _person(options["by"])
        try:
            written = self._write(person, year, quiet=as_json)
        except Refusal as refusal:
            if as_json:
                self.stdout.write(json.dumps({"ok": False, "written": 0, "reason": refusal.sentence}))
                sys.exit(1)
            raise CommandError(str(refusal), returncode=1) from refusal
        standing = list(letters_to_print(year))
        if out and standing:
            out.write_bytes(letters_pdf(standing, f"Letters of {year}"))
        self._tell(year, written, standing, out, as_json=as_json)

    @staticmethod
    def _write(person: Person, year: int, *, quiet: bool) -> list[Letter]:
        batch = LetterBatch.objects.filter(year=year, ended_at__isnull=True).first()
        try:
            batch = batch or start_batch(by=person, year=year)
        except AlreadyDone:
            return []
        written: list[Letter] = []
        silent = quiet or not sys.stderr.isatty()
        with tqdm(
            total=batch.to_do, initial=batch.done, unit="supporter", disable=silent, leave=False
        ) as bar:
            while batch.ended_at is None:
                done = batch.done
                written += go_on(by=person, batch=batch)
                batch.refresh_from_db()
                bar.update(batch.done - done)
        return written

    def _tell(
        self, year: int, written: list[Letter], standing: list[Letter], out: Path | None, *, as_json: bool
    ) -> None:
        file = str(out) if out and standing else ""
        if as_json:
            answer = {
                "ok": True,
                "year": year,
                "written": len(written),
                "standing": len(standing),
                "file": file,
            }
            self.stdout.write(json.dumps(answer))
            return
        if written:
            self.stdout.write(f"Letters {written[0].number} to {written[-1].number} written for {year}.")
        else:
            self.stdout.write(f"Every gift of {year} with a name to it has its letter. Nothing was written.")
        if file:
            self.stdout.write(f"{len(standing)} letters of {year} are in {file}.")


def _person(username: str | None) -> Person:
    if username:
        person = Person.objects.filter(username=username, is_active=True).first()
        if person is None:
            raise CommandError(f"There is no crew member “{username}”.", returncode=2)
        return person
    treasurers = list(Person.objects.filter(groups__name=TREASURER, is_active=True)[:2])
    if len(treasurers) != 1:
        which = "is no treasurer" if not treasurers else "are several treasurers"
        raise CommandError(f"There {which}. Say who writes with --by USERNAME.", returncode=2)
    return treasurers[0]
