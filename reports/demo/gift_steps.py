"""Steps of the story about gifts that are none yet: promised, dated ahead, and what members get."""

from datetime import date

from fund.access.models import Person
from fund.gifts.actions_benefits import add_benefit
from fund.gifts.actions_checks import hold_check
from fund.gifts.actions_pledges import record_pledge
from fund.money import Money
from reports.demo.cast import Cast, Step


def pledge(cast: Cast, by: Person, step: Step, on: date) -> None:
    giver, due = cast.givers[step["giver"]], date.fromisoformat(step["due"])
    record_pledge(by=by, supporter=giver, amount=Money(step["amount"]), due_on=due, words=step["words"])


def held_check(cast: Cast, by: Person, step: Step, on: date) -> None:
    hold_check(
        by=by,
        supporter=cast.givers[step["giver"]],
        amount=Money(step["amount"]),
        check_number=step["number"],
        dated_on=date.fromisoformat(step["dated"]),
        arrived_on=on,
    )


def benefit(cast: Cast, by: Person, step: Step, on: date) -> None:
    value, cost = Money(step["value"]), Money(step["cost"])
    add_benefit(by=by, name=step["name"], value=value, cost=cost, bears_name=True)
