"""One person at one desk, as a program of its own: run with ``python -m tests.house.two_approvers``.

``prepare`` fills an empty scratch database (named by DATABASE_URL) with two priced repairs of 300.00 each and
exactly 300.00 free to commit. ``approve RO-0001`` waits for a word on its input, then approves;
``hold RO-0001`` approves, says so, and commits only after a word on its input. ``check 204`` waits and writes down
the check 204 of the fund's first supporter; ``hold-check 204`` does it and commits after a word. Each answers in JSON lines.
"""

import json
import sys
from collections.abc import Callable
from datetime import date
from typing import Any

import django

django.setup()  # before any model is imported: this file is a program, not a module of the suite

from django.core.management import call_command  # noqa: E402
from django.db import transaction  # noqa: E402

import fund.setup  # noqa: E402
import jobs.setup  # noqa: E402
from fund import clock  # noqa: E402
from fund.access.actions import add_person, found_crew  # noqa: E402
from fund.access.models import Person  # noqa: E402
from fund.gifts.actions import record_gift  # noqa: E402
from fund.gifts.actions_supporters import add_supporter  # noqa: E402
from fund.gifts.models import Supporter  # noqa: E402
from fund.gifts.rules import CHECK  # noqa: E402
from fund.money import Money  # noqa: E402
from fund.refusal import AlreadyDone, NotEnoughMoney  # noqa: E402
from jobs.approvals import actions  # noqa: E402
from jobs.repairs.models import RepairOrder  # noqa: E402
from tests.jobs.workshop import money_in_bank, part, ready, without_share  # noqa: E402

DAY = date(2026, 3, 15)
COST = 300_00
RESERVE = 1_000_00
PASSWORD = "long road to the mill"


def say(**words: Any) -> None:
    sys.stdout.write(json.dumps(words) + "\n")
    sys.stdout.flush()


def wait_for_word() -> None:
    sys.stdin.readline()


def prepare() -> None:
    call_command("migrate", verbosity=0)
    fund.setup.load_basics()
    jobs.setup.load_basics()
    owner = found_crew(
        username="maren", first_name="Maren", last_name="Holt", password=PASSWORD, roles=["owner"]
    )

    def joins(username: str, role: str) -> Person:
        return add_person(
            by=owner, username=username, first_name=role, last_name="Test", password=PASSWORD, roles=[role]
        )

    treasurer = joins("odell", "treasurer")
    money_in_bank(treasurer, RESERVE + COST)
    add_supporter(by=treasurer, name="Wren Halloway")
    without_share(owner)
    screener, volunteer = joins("ines", "screener"), joins("tavi", "volunteer")
    for name in ("One", "Two"):
        ready(screener, volunteer, owner, part(COST), name)
    say(done=True)


def approve(number: str) -> None:
    owner = Person.objects.get(username="maren")
    actions.approve(by=owner, repair=RepairOrder.objects.get(number=number))


def write_down_check(number: str) -> None:
    treasurer = Person.objects.get(username="odell")
    giver = Supporter.objects.get(name="Wren Halloway")
    record_gift(
        by=treasurer, kind=CHECK, received_on=DAY, amount=Money(50_00), supporter=giver, check_number=number
    )


def do(act: Callable[[str], None], number: str, hold: bool) -> None:
    say(ready=True)
    if not hold:
        wait_for_word()
    try:
        with transaction.atomic():
            act(number)
            if hold:
                say(holding=True)
                wait_for_word()
    except (NotEnoughMoney, AlreadyDone) as refusal:
        say(passed=False, sentence=refusal.sentence, details=list(refusal.details))
    else:
        say(passed=True)


def main(verb: str, number: str = "") -> None:
    with clock.at(DAY):
        if verb == "prepare":
            prepare()
        else:
            act = write_down_check if verb.endswith("check") else approve
            do(act, number, hold=verb.startswith("hold"))


if __name__ == "__main__":
    main(*sys.argv[1:])
