from typing import Any

from django.core.management.base import BaseCommand

import fund.setup
import jobs.setup


class Command(BaseCommand):
    help = "Loads roles, accounts, income tables and rates into the database. Can be run again."

    def handle(self, *args: Any, **options: Any) -> None:
        fund.setup.load_basics()
        jobs.setup.load_basics()
        self.stdout.write("Roles, accounts, income tables and rates are in place.")
