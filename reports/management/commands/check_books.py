import json
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from tqdm import tqdm

from reports.position.proofs import ALL_PROOFS, prove_all


class Command(BaseCommand):
    help = "Proves the laws of the books again and names each break. Exit code 1 if there is one."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--json", action="store_true", help="print the answer for a program to read")

    def handle(self, *args: Any, **options: Any) -> None:
        with tqdm(total=len(ALL_PROOFS), unit="proof", disable=None, leave=False) as bar:
            verdict = prove_all(bar.update)
        if options["json"]:
            answer = {
                "ok": verdict.ok,
                "counts": verdict.counts,
                "proved": verdict.proved,
                "breaks": verdict.breaks,
            }
            self.stdout.write(json.dumps(answer, ensure_ascii=False))
        else:
            for sentence in verdict.breaks:
                self.stderr.write(sentence)
            for words in verdict.proved:
                self.stdout.write(f"proved: {words}")
            self.stdout.write(
                ", ".join(f"{count} {name.replace('_', ' ')}" for name, count in verdict.counts.items())
            )
        if not verdict.ok:
            raise SystemExit(1)
