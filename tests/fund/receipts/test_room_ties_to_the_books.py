"""Whatever is bought, issued, counted and returned, in any order: lots and cores are what the accounts hold."""

import contextlib
from datetime import date
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fund.access.models import Person
from fund.ledger.models import Line
from fund.ledger.queries import balance
from fund.money import Money, parse_money, total
from fund.receipts.actions_cores import return_core
from fund.receipts.actions_shelf import count_shelf, issue_from_shelf
from fund.receipts.models import CoreDeposit, ReceiptPortion, ShelfLot
from fund.receipts.proofs import breaks
from fund.receipts.rules import LineInput, PortionInput, ReceiptInput
from fund.refusal import Refusal
from tests.fund.receipts.makers import bought, fill_bank, open_repair, went_into

DAY = date(2026, 3, 3)
_cents = st.integers(min_value=1, max_value=40_000)
_buy = st.tuples(
    st.just("buy"), _cents, st.integers(1, 20), st.integers(0, 20), _cents, st.integers(0, 3_000)
)
_issue = st.tuples(st.just("issue"), st.integers(1, 12_000))
_count = st.tuples(st.just("count"), st.integers(0, 12_000))
_core = st.tuples(st.just("core"), st.sampled_from(["full", "part", "refused", "lapsed"]), _cents)


class _Undone(Exception):
    pass


def _play(step: tuple[Any, ...], number: int, who: Person) -> None:
    if step[0] == "buy":
        _, amount, whole, some, deposit, tax = step
        shelf = min(some, whole)
        portions = [PortionInput("shelf", None, shelf * 1000)] if shelf else []
        if whole > shelf:
            portions.append(PortionInput("part", "RO-0001", (whole - shelf) * 1000))
        lines = [
            LineInput("oil", Money(amount), portions, quantity=whole * 1000, unit="quart"),
            LineInput("core", Money(deposit), [PortionInput("core", "RO-0001")], taxable=False),
        ]
        paid = Money(amount + deposit + tax)
        data = ReceiptInput("Gantry Parts", str(number), DAY, paid, Money(tax), "fund_card", who, lines)
        bought(who, data)
    elif step[0] == "issue":
        issue_from_shelf(by=who, item="oil", quantity=step[1], cost_object="RO-0001", on=DAY)
    elif step[0] == "count":
        lot = ShelfLot.objects.order_by("-pk").first()
        if lot:
            count_shelf(by=who, lot=lot, counted_quantity=step[1], on=DAY)
    else:
        core = CoreDeposit.objects.filter(returned__isnull=True).first()
        if core:
            back = {"full": core.amount, "part": min(Money(step[2]), core.amount)}.get(step[1], Money.zero)
            return_core(by=who, core=core, amount_back=back, on=DAY, kind=step[1])


@pytest.mark.django_db
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(st.one_of(_buy, _issue, _count, _core), min_size=1, max_size=10))
def test_lots_cores_and_repairs_are_what_the_books_say(
    steps: list[tuple[Any, ...]],
    treasurer: Person,
    owner: Person,
    volunteer: Person,
) -> None:
    with contextlib.suppress(_Undone), transaction.atomic():
        fill_bank(treasurer, "9000.00")
        open_repair(owner, "RO-0001", "4000.00", "100.00")
        for number, step in enumerate(steps):
            with contextlib.suppress(Refusal):
                _play(step, number, volunteer)
            assert breaks() == []
            lots = total(row.left_cost for row in ShelfLot.objects.all())
            cores = total(row.amount for row in CoreDeposit.objects.filter(returned__isnull=True))
            assert (balance("1200"), balance("1110")) == (lots, cores)
        charged = Line.objects.filter(cost_object="RO-0001", account__in=("5000", "5010"))
        assert total(row.amount for row in charged) == total(
            parse_money(amount) for _, _, amount in went_into("RO-0001")
        )
        portions = ReceiptPortion.objects.filter(line__receipt__state="posted").select_related(
            "line__receipt"
        )
        receipts = {row.line.receipt.pk: row.line.receipt.total for row in portions}
        assert total(row.amount for row in portions) == total(receipts.values())
        raise _Undone
