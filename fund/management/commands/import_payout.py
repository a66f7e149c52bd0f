import json
import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from tqdm import tqdm

from fund.access.models import Person
from fund.access.powers import TREASURER
from fund.gifts.actions_payout import PayoutImport, import_payout
from fund.gifts.models import Layout
from fund.gifts.rules_reading import MAX_BYTES, size_sentence
from fund.refusal import Refusal


class Command(BaseCommand):
    help = (
        "Posts a platform's payout file: gifts gross on their charge dates, fees and refunds beside them, the payout on "
        "its own date. A file posted before posts nothing. Exit code 0 posted, 1 refused, 2 called wrongly."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="the platform's CSV")
        parser.add_argument("--layout", required=True, help="name of the layout that reads it")
        parser.add_argument(
            "--by", metavar="USERNAME", help="who posts; needed unless there is just one treasurer"
        )
        parser.add_argument("--json", action="store_true", help="answer for a program")

    def handle(self, *args: Any, **options: Any) -> None:
        path = Path(options["file"])
        if not path.is_file():
            raise CommandError(f"There is no file {path}.", returncode=2)
        layout = Layout.objects.filter(name=options["layout"]).select_related("platform").first()
        if layout is None:
            names = ", ".join(Layout.objects.values_list("name", flat=True)) or "none yet"
            raise CommandError(f"There is no layout “{options['layout']}”. Layouts: {names}.", returncode=2)
        person = _person(options["by"])
        if path.stat().st_size > MAX_BYTES:
            self._refuse(size_sentence(path.stat().st_size), [], options["json"])
        try:
            done = self._import(path, layout, person, quiet=options["json"])
        except Refusal as refusal:
            self._refuse(refusal.sentence, refusal.details, options["json"])
        else:
            self._tell(done, options["json"])

    @staticmethod
    def _import(path: Path, layout: Layout, person: Person, *, quiet: bool) -> PayoutImport:
        data = path.read_bytes()
        silent = quiet or not sys.stderr.isatty()
        with tqdm(total=data.count(b"\n"), unit="row", disable=silent, leave=False) as bar:
            return import_payout(by=person, data=data, filename=path.name, layout=layout, progress=bar.update)

    def _refuse(self, sentence: str, details: list[str], as_json: bool) -> None:
        if as_json:
            self.stdout.write(json.dumps({"ok": False, "posted": 0, "reason": sentence, "details": details}))
            sys.exit(1)
        raise CommandError("\n".join([sentence, *details]), returncode=1)

    def _tell(self, done: PayoutImport, as_json: bool) -> None:
        if not as_json:
            for payout in done.payouts:
                fees = payout.platform_fee + payout.processing_fee + payout.dispute_fee
                self.stdout.write(
                    f"Payout {payout.ref} of {payout.paid_on}: gifts {payout.gross} - fees {fees} - "
                    f"returned {payout.refunds} = {payout.net} to the bank."
                )
            self.stdout.write(done.sentence)
            return
        payouts = [
            {
                "ref": payout.ref,
                "paid_on": payout.paid_on.isoformat(),
                "gross": payout.gross.minor,
                "platform_fee": payout.platform_fee.minor,
                "processing_fee": payout.processing_fee.minor,
                "dispute_fee": payout.dispute_fee.minor,
                "refunds": payout.refunds.minor,
                "net": payout.net.minor,
            }
            for payout in done.payouts
        ]
        answer = {
            "ok": True,
            "posted": done.posted,
            "already_booked": done.already,
            "gifts": done.gifts,
            "payouts": payouts,
            "entries": done.entries,
        }
        self.stdout.write(json.dumps(answer))


def _person(username: str | None) -> Person:
    if username:
        person = Person.objects.filter(username=username, is_active=True).first()
        if person is None:
            raise CommandError(f"There is no crew member “{username}”.", returncode=2)
        return person
    treasurers = list(Person.objects.filter(groups__name=TREASURER, is_active=True)[:2])
    if len(treasurers) != 1:
        which = "is no treasurer" if not treasurers else "are several treasurers"
        raise CommandError(f"There {which}. Say who posts with --by USERNAME.", returncode=2)
    return treasurers[0]
