import json
import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from tqdm import tqdm

from fund.bank.actions_import import StatementImport, import_statement
from fund.bank.models import StatementLayout
from fund.bank.rules_reading import MAX_BYTES, size_sentence
from fund.management.commands.import_payout import _person
from fund.money import Money, parse_money
from fund.refusal import BadInput, Refusal


class Command(BaseCommand):
    help = (
        "Reads a bank statement: OFX, camt.053, or CSV by a layout. Lines that are stored already are not stored again; a "
        "file that does not add up or breaks off is refused whole. Exit code 0 read, 1 refused, 2 called wrongly."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="the bank's statement file")
        parser.add_argument("--layout", help="name of the layout that reads a CSV")
        parser.add_argument(
            "--opening", help="balance before the first line, where the file does not tell it"
        )
        parser.add_argument("--closing", help="balance after the last line, where the file does not tell it")
        parser.add_argument(
            "--by", metavar="USERNAME", help="who imports; needed unless there is just one treasurer"
        )
        parser.add_argument("--json", action="store_true", help="answer for a program")

    def handle(self, *args: Any, **options: Any) -> None:
        path = Path(options["file"])
        if not path.is_file():
            raise CommandError(f"There is no file {path}.", returncode=2)
        told = {name: _amount(options[name], name) for name in ("opening", "closing")}
        layout = None
        if options["layout"]:
            layout = StatementLayout.objects.filter(name=options["layout"]).first()
            if layout is None:
                names = ", ".join(StatementLayout.objects.values_list("name", flat=True)) or "none yet"
                raise CommandError(
                    f"There is no layout “{options['layout']}”. Layouts: {names}.", returncode=2
                )
        person = _person(options["by"])
        if path.stat().st_size > MAX_BYTES:
            self._refuse(size_sentence(path.stat().st_size), [], options["json"])
        silent = options["json"] or not sys.stderr.isatty()
        try:
            with tqdm(unit="line", disable=silent, leave=False) as bar:
                done = import_statement(
                    by=person,
                    data=path.read_bytes(),
                    filename=path.name,
                    layout=layout,
                    progress=bar.update,
                    **told,
                )
        except Refusal as refusal:
            self._refuse(refusal.sentence, refusal.details, options["json"])
        else:
            self._tell(done, options["json"])

    def _refuse(self, sentence: str, details: list[str], as_json: bool) -> None:
        if as_json:
            self.stdout.write(json.dumps({"ok": False, "new": 0, "reason": sentence, "details": details}))
            sys.exit(1)
        raise CommandError("\n".join([sentence, *details]), returncode=1)

    def _tell(self, done: StatementImport, as_json: bool) -> None:
        if not as_json:
            self.stdout.write(done.sentence)
            return
        file = done.file
        answer = {
            "ok": True,
            "new": done.new,
            "known": done.known,
            "corrected": done.corrected,
            "opening": file.opening.minor if file and file.opening is not None else None,
            "closing": file.closing.minor if file and file.closing is not None else None,
        }
        self.stdout.write(json.dumps(answer))


def _amount(text: str | None, name: str) -> Money | None:
    if text is None:
        return None
    try:
        return parse_money(text)
    except BadInput as refusal:
        raise CommandError(f"--{name}: {refusal.sentence}", returncode=2) from refusal
