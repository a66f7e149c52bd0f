from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from tqdm import tqdm

from fund.access.models import Person
from fund.refusal import Refusal
from reports.demo.cast import PASSWORD
from reports.demo.replay import replay, story


class Command(BaseCommand):
    help = "Fills an empty database with an invented fund by replaying its files through the real actions."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--if-empty", action="store_true", help="leave a database with data as it is")

    def handle(self, *args: Any, **options: Any) -> None:
        if not (options["if_empty"] and Person.objects.exists()):
            self.fill()
        self.tell_sign_ins()

    def fill(self) -> None:
        steps = story()
        try:
            for _ in tqdm(replay(), total=len(steps), desc="Invented fund", unit="step", disable=None):
                pass
        except Refusal as refusal:
            raise CommandError(str(refusal), returncode=1) from refusal
        self.stdout.write("The invented fund is in place.")

    def tell_sign_ins(self) -> None:
        """Only of those whose password is the demo's: in a real book nobody is listed."""
        people = Person.objects.filter(is_active=True).order_by("pk").prefetch_related("groups")
        known = [person for person in people if person.check_password(PASSWORD)]
        if known:
            self.stdout.write(f"Sign in (this demo only) with the password: {PASSWORD}")
        for person in known:
            roles = ", ".join(group.name for group in person.groups.all())
            self.stdout.write(f"  {person.username:<8} {person.label} ({roles})")
