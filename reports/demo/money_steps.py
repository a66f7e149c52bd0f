"""Steps of the story that concern money."""

from collections import defaultdict
from datetime import date
from typing import Any

from django.core.files import File

from fund.access.models import Person
from fund.attachments.actions import store
from fund.gifts.actions import add_supporter, record_gift
from fund.gifts.actions_cash import bank_deposit, count_cash
from fund.gifts.actions_payout import import_payout
from fund.gifts.actions_returns import return_check
from fund.gifts.models import Layout, Supporter
from fund.letters.actions_batch import go_on, start_batch
from fund.money import Money
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.actions_cores import return_core
from fund.receipts.actions_shelf import issue_from_shelf
from fund.receipts.models import CoreDeposit, Receipt
from fund.receipts.rules import LineInput, PortionInput, ReceiptInput
from fund.repayments.actions import prepare_repayment, release_repayment
from fund.repayments.actions_petty import set_petty_cash
from reports.demo.cast import Cast, Step


def _giver(cast: Cast, by: Person, step: Step) -> Supporter:
    name = step["giver"]
    if name not in cast.givers:
        kind = "organization" if step.get("organization") else "person"
        cast.givers[name] = add_supporter(by=by, name=name, kind=kind)
    return cast.givers[name]


def transfer(cast: Cast, by: Person, step: Step, on: date) -> None:
    giver = _giver(cast, by, step)
    record_gift(by=by, kind="transfer", received_on=on, amount=Money(step["amount"]), supporter=giver)


def check(cast: Cast, by: Person, step: Step, on: date) -> None:
    giver = _giver(cast, by, step)
    gift = record_gift(
        by=by,
        kind="check",
        received_on=on,
        amount=Money(step["amount"]),
        supporter=giver,
        check_number=step["number"],
    )
    cast.checks[step["number"]] = gift
    cast.unbanked.append(gift)


def check_back(cast: Cast, by: Person, step: Step, on: date) -> None:
    gift = cast.checks[step["number"]]
    return_check(by=by, gift=gift, on=on, bank_fee=Money(step["fee"]), reason="account closed")


def count(cast: Cast, by: Person, step: Step, on: date) -> None:
    pieces = {int(face): many for face, many in step["pieces"].items()}
    second = cast.people[step["second"]]
    cast.counts.append(count_cash(by=by, second=second, on=on, place=step["place"], denominations=pieces))


def deposit(cast: Cast, by: Person, step: Step, on: date) -> None:
    bank_deposit(by=by, on=on, counts=cast.counts, gifts=cast.unbanked)
    cast.counts, cast.unbanked = [], []


def payout(cast: Cast, by: Person, step: Step, on: date) -> None:
    path = cast.folder / f"{on:%Y-%m}" / step["file"]
    layout = Layout.objects.get(name=step["layout"])
    import_payout(by=by, data=path.read_bytes(), filename=path.name, layout=layout)


def letters(cast: Cast, by: Person, step: Step, on: date) -> None:
    """The letters of the year that is over, to every supporter with a name."""
    batch = start_batch(by=by, year=step["year"])
    while batch.ended_at is None:
        go_on(by=by, batch=batch)
        batch.refresh_from_db()


def petty_cash(cast: Cast, by: Person, step: Step, on: date) -> None:
    second = cast.people[step["second"]]
    set_petty_cash(by=by, seen_by=second, amount=Money(step["amount"]), on=on)


def _line(cast: Cast, row: dict[str, Any]) -> LineInput:
    portions = [
        PortionInput(
            home=portion["home"],
            cost_object=cast.repairs[portion["repair"]].number if "repair" in portion else None,
            quantity=portion["quantity"],
        )
        for portion in row["portions"]
    ]
    return LineInput(
        text=row["text"],
        amount=Money(row["amount"]),
        portions=portions,
        taxable=row["taxable"],
        quantity=row["quantity"],
        unit=row["unit"],
        condition=row["condition"],
    )


def draft(cast: Cast, by: Person, step: Step, on: date) -> Receipt:
    """A receipt as typed at the counter, with its photo."""
    data = ReceiptInput(
        store=step["store"],
        number=step["number"],
        on=on,
        total=Money(step["total"]),
        tax=Money(step["tax"]),
        tender=step["tender"],
        buyer=cast.people[step["buyer"]],
        lines=[_line(cast, row) for row in step["lines"]],
    )
    receipt = save_draft(by=by, data=data)
    path = cast.folder / f"{on:%Y-%m}" / step["photo"]
    with path.open("rb") as file:
        photo = store(by=by, upload=File(file, name=path.name), subject=receipt.code, power="receipt.see")
    return save_draft(by=by, data=data, receipt=receipt, photo=photo)


def receipt(cast: Cast, by: Person, step: Step, on: date) -> None:
    posted = post_receipt(by=by, receipt=draft(cast, by, step, on))
    if step["tender"] == "own_money":
        cast.unpaid.append(posted)


def core_back(cast: Cast, by: Person, step: Step, on: date) -> None:
    core = CoreDeposit.objects.get(cost_object_id=cast.repairs[step["alias"]].number)
    return_core(by=by, core=core, amount_back=Money(step["amount"]), on=on, kind=step["kind"])


def from_shelf(cast: Cast, by: Person, step: Step, on: date) -> None:
    issue_from_shelf(
        by=by,
        quantity=step["quantity"],
        on=on,
        item=step["item"],
        unit=step["unit"],
        home=step["home"],
        cost_object=cast.repairs[step["alias"]].number,
    )


def repay(cast: Cast, by: Person, step: Step, on: date) -> None:
    """The treasurer prepares what each buyer is owed, the owner releases it."""
    owed: dict[int, list[Receipt]] = defaultdict(list)
    for paper in cast.unpaid:
        owed[paper.buyer_id].append(paper)
    for papers in owed.values():
        prepared = prepare_repayment(by=by, person=papers[0].buyer, receipts=papers, on=on)
        release_repayment(by=cast.people["maren"], repayment=prepared, on=on)
    cast.unpaid = []
