import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from tqdm import tqdm

from fund.backup.actions import write_backup
from fund.refusal import Refusal


class Command(BaseCommand):
    help = (
        "Writes the database and all attachments into one file and proves that it is whole. What households told stays "
        "sealed in it: keep HOUSEHOLD_KEYS apart from it, and safe, for without the key nobody can read them again."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="where to; must not be there yet")
        parser.add_argument("--json", action="store_true", help="print the answer for a program to read")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            with tqdm(unit="part", disable=None, leave=False) as bar:
                manifest = write_backup(by=None, path=options["file"], progress=lambda name: bar.update())
        except Refusal as refusal:
            if options["json"]:
                self.stdout.write(json.dumps({"ok": False, "reason": refusal.sentence}))
            raise CommandError(str(refusal), returncode=1) from refusal
        if options["json"]:
            answer = {"ok": True, "rows": manifest.rows, "files": len(manifest.files)}
            self.stdout.write(
                json.dumps({**answer, "entries": manifest.entries, "digest": manifest.last_digest})
            )
            return
        self.stdout.write(
            f"{options['file']} holds {manifest.rows} rows and {len(manifest.files)} attachments, up to entry "
            f"{manifest.entries}. It was read again and is whole."
        )
