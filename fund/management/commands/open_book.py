import getpass
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from fund.access.actions import found_crew
from fund.refusal import Refusal


class Command(BaseCommand):
    help = "Gives an empty book its first crew member, an owner, who adds the others. Asks for a password."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("username", help="name to sign in with")
        parser.add_argument("first_name")
        parser.add_argument("last_name")

    def handle(self, *args: Any, **options: Any) -> None:
        names = {key: options[key] for key in ("username", "first_name", "last_name")}
        try:
            person = found_crew(**names, password=self.password(), roles=["owner"])
        except Refusal as refusal:
            raise CommandError(refusal.sentence, returncode=1) from refusal
        self.stdout.write(f"{person.label} can sign in as {person.username} and add the others under Crew.")

    @staticmethod
    def password() -> str:
        """Typed twice unseen at a terminal, or the first line of what is piped in."""
        if not sys.stdin.isatty():
            return sys.stdin.readline().rstrip("\n")
        first = getpass.getpass("Password (12 characters or more): ")
        if getpass.getpass("Once more: ") != first:
            raise CommandError("The two passwords differ. Start again.", returncode=1)
        return first
