import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from fund import clock
from fund.commitments.queries_idle import Promised, promised, to_look_at
from fund.refusal import Refusal
from jobs.approvals.actions_lapse import let_go
from jobs.repairs.models import RepairOrder
from reports.management.signing import add_person, crew

WHY = "Nothing was bought for it in the fund's days"


class Command(BaseCommand):
    help = "Tells which promises to repairs ran out or lie unused; with --let-go, frees their money (for every night)."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--all", action="store_true", help="tell of every promise, used or not")
        parser.add_argument(
            "--let-go", action="store_true", help="let go of those unused for the fund's stale days"
        )
        add_person(parser, "--by", "repair.approve", "who lets them go")
        parser.add_argument(
            "--reason", default=WHY, help="why, kept with each; a sentence of its own unless given"
        )
        parser.add_argument("--json", action="store_true", help="print the answer for a program to read")

    def handle(self, *args: Any, **options: Any) -> None:
        rows = promised() if options["all"] else to_look_at()
        freed: dict[str, str] = {}
        refused: dict[str, str] = {}
        if options["let_go"]:
            self._let_go([row for row in rows if row.stale], options, freed, refused)
        if options["json"]:
            self.stdout.write(json.dumps([_told(row, freed, refused) for row in rows], ensure_ascii=False))
        else:
            self._tell(rows, freed, refused)
        if refused:
            raise CommandError(f"{len(refused)} could not be let go.", returncode=1)

    def _let_go(
        self, rows: list[Promised], options: dict[str, Any], freed: dict[str, str], refused: dict[str, str]
    ) -> None:
        person = crew(options["by"], "repair.approve")
        for row in rows:
            try:
                repair = RepairOrder.objects.get(number=row.cost_object)
                freed[row.cost_object] = str(
                    let_go(by=person, repair=repair, reason=options["reason"]).amount
                )
            except Refusal as refusal:
                refused[row.cost_object] = refusal.sentence

    def _tell(self, rows: list[Promised], freed: dict[str, str], refused: dict[str, str]) -> None:
        for row in rows:
            words = refused.get(row.cost_object) or (
                "let go" if row.cost_object in freed else row.look or "in use"
            )
            self.stdout.write(f"{row.cost_object}  {row.amount!s:>12}  last used {row.last}  {words}")
        self.stdout.write(f"{len(rows)} promises on {clock.today()}, {len(freed)} let go.")


def _told(row: Promised, freed: dict[str, str], refused: dict[str, str]) -> dict[str, Any]:
    return {
        "repair": row.cost_object,
        "promised": row.amount.minor,
        "last_used": str(row.last),
        "first_purchase_by": str(row.until) if row.until else None,
        "ran_out": row.ran_out,
        "stale": row.stale,
        "let_go": row.cost_object in freed,
        "refused": refused.get(row.cost_object),
    }
