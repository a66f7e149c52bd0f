import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from tqdm import tqdm

from fund.backup.actions import read_backup, restore_backup
from fund.backup.rules import Manifest
from fund.refusal import Refusal
from reports.position.proofs import prove_all


class Command(BaseCommand):
    help = (
        "Fills a new database, fresh from `migrate`, and an empty folder of attachments from a backup, and proves the books. "
        "Everything or nothing. With --verify the file is only read and proved to be whole."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="the backup")
        parser.add_argument("--verify", action="store_true", help="only prove that the file is whole")
        parser.add_argument("--json", action="store_true", help="print the answer for a program to read")

    def handle(self, *args: Any, **options: Any) -> None:
        if not options["file"].is_file():
            raise CommandError(f"There is no file {options['file']}.", returncode=2)
        try:
            with tqdm(unit="part", disable=None, leave=False) as bar:
                manifest = self._do(options["file"], options["verify"], lambda name: bar.update())
        except Refusal as refusal:
            if options["json"]:
                answer = {"ok": False, "reason": refusal.sentence, "details": refusal.details}
                self.stdout.write(json.dumps(answer))
            raise CommandError(str(refusal), returncode=1) from refusal
        if options["json"]:
            answer = {"ok": True, "rows": manifest.rows, "files": len(manifest.files)}
            self.stdout.write(
                json.dumps({**answer, "entries": manifest.entries, "digest": manifest.last_digest})
            )
            return
        done = "is whole" if options["verify"] else "was restored, and the books prove"
        self.stdout.write(
            f"The backup of {manifest.made_at[:16].replace('T', ' ')} UTC {done}: {manifest.rows} rows, "
            f"{len(manifest.files)} attachments, up to entry {manifest.entries}."
        )

    def _do(self, path: Path, only_verify: bool, progress: Any) -> Manifest:
        if only_verify:
            return read_backup(path, progress)
        return restore_backup(path=path, prove=lambda: prove_all().breaks, progress=progress)
