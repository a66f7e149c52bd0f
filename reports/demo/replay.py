"""Fills an empty database with the invented fund, step by step through the real actions."""

import json
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

from django.conf import settings
from django.db import transaction

import fund.setup
import jobs.setup
from fund import clock
from fund.access.actions import add_person, found_crew
from fund.access.actions_password import change_own_password
from fund.access.models import Person
from fund.ledger.actions import add_purpose
from fund.ledger.models import Entry
from fund.refusal import AlreadyDone
from fund.rulebook.actions import set_rule
from reports.demo import bank_steps as banked
from reports.demo import door_steps as door
from reports.demo import gift_steps as given
from reports.demo import help_steps as helped
from reports.demo import money_steps as money
from reports.demo.cast import FIRST_PASSWORD, PASSWORD, Cast, Step
from reports.month.actions import close_month, publish_month

Play = Callable[[Cast, Person, Step, date], object]


def _found(cast: Cast, by: Person, step: Step, on: date) -> None:
    words = {key: step[key] for key in ("username", "first_name", "last_name", "roles")}
    cast.people[step["username"]] = found_crew(**words, password=PASSWORD)


def _person(cast: Cast, by: Person, step: Step, on: date) -> None:
    words = {key: step[key] for key in ("username", "first_name", "last_name", "roles")}
    person = add_person(by=by, **words, password=FIRST_PASSWORD)
    cast.people[step["username"]] = change_own_password(by=person, old=FIRST_PASSWORD, new=PASSWORD)


def _rule(cast: Cast, by: Person, step: Step, on: date) -> None:
    set_rule(by=by, name=step["name"], value=step["value"], valid_from=on, reason=step["reason"])


def _purpose(cast: Cast, by: Person, step: Step, on: date) -> None:
    add_purpose(by=by, code=step["code"], name=step["name"], giver_words=step["words"])


def _close(cast: Cast, by: Person, step: Step, on: date) -> None:
    close_month(by=by, month=step["month"])


def _publish(cast: Cast, by: Person, step: Step, on: date) -> None:
    publish_month(by=by, month=step["month"])


PLAYS: dict[str, Play] = {
    "found": _found,
    "person": _person,
    "rule": _rule,
    "purpose": _purpose,
    "transfer": money.transfer,
    "check": money.check,
    "check_back": money.check_back,
    "count": money.count,
    "deposit": money.deposit,
    "payout": money.payout,
    "petty_cash": money.petty_cash,
    "letters": money.letters,
    "pledge": given.pledge,
    "held_check": given.held_check,
    "benefit": given.benefit,
    "receipt": money.receipt,
    "draft": money.draft,
    "core_back": money.core_back,
    "from_shelf": money.from_shelf,
    "repay": money.repay,
    "request": helped.request,
    "public_request": helped.public_request_of,
    "sight": helped.sight,
    "decide": helped.decide,
    "repair": helped.repair,
    "check_in": door.check_in,
    "estimate": helped.estimate,
    "owner_agrees": door.owner_agrees,
    "consumables": helped.consumables,
    "agree": helped.agree,
    "approve": helped.approve,
    "ask_more": helped.ask_more,
    "more_yes": helped.more_yes,
    "hours": helped.hours,
    "why": helped.why,
    "done": helped.done,
    "drive": helped.drive,
    "hand_back": helped.hand_back,
    "came_back": helped.came_back,
    "statement_layout": banked.statement_layout,
    "statement": banked.statement,
    "only_bank": banked.only_bank,
    "platform_balance": banked.platform_balance,
    "reconcile": banked.reconcile,
    "review_bank": banked.review_bank,
    "close": _close,
    "publish": _publish,
}


def story(folder: Path | None = None) -> list[Step]:
    """All steps in the order of their days."""
    folder = folder or settings.BASE_DIR / "fixtures" / "demo"
    steps: list[Step] = []
    for path in sorted(folder.glob("*/story.jsonl")):
        steps += [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
    return sorted(steps, key=lambda step: step["on"])


def replay(folder: Path | None = None) -> Iterator[Step]:
    """Play the story into an empty database; yields each step when it is done.

    Refuses a database that has people or entries. Each step is one transaction of the action it calls.
    """
    folder = folder or settings.BASE_DIR / "fixtures" / "demo"
    if Person.objects.exists() or Entry.objects.exists():
        raise AlreadyDone(
            "This database already holds a fund. The demo only fills an empty one; nothing was changed."
        )
    fund.setup.load_basics()
    jobs.setup.load_basics()
    cast = Cast(folder)
    for step in story(folder):
        on = date.fromisoformat(step["on"])
        with clock.at(on), transaction.atomic():
            PLAYS[step["do"]](cast, cast.people.get(step["by"], Person()), step, on)
        yield step
