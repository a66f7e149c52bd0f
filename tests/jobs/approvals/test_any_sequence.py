"""Whatever is taken, agreed to, approved, added, bought, returned, ratified, let go, stopped and released, in any order."""

from contextlib import suppress
from datetime import timedelta
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from fund import clock
from fund.access.models import Person
from fund.commitments.models import CommitmentMove
from fund.commitments.proofs import commitment_breaks
from fund.commitments.queries import allowance, general_promised, open_by_purpose, position
from fund.ledger import chart
from fund.ledger.actions import add_purpose
from fund.ledger.queries import balance, cost_of
from fund.money import Money, total
from fund.receipts.actions import post_receipt
from fund.receipts.actions_returns import return_to_shelf, return_to_store
from fund.receipts.models import Receipt, ReceiptPortion
from fund.receipts.proofs import breaks
from fund.refusal import NotReady, Refusal
from jobs.approvals.actions import agree, approve, decline, supplement
from jobs.approvals.actions_consumables import take_consumables
from jobs.approvals.actions_lapse import let_go, renew
from jobs.approvals.actions_overspend import ratify_receipt
from jobs.approvals.actions_relations import answer_relation
from jobs.approvals.models import Approval
from jobs.approvals.proofs import approver_breaks, consumables_breaks, promise_breaks
from jobs.estimates.actions import request_supplement, set_estimate
from jobs.repairs.actions_steps import cancel, mark_handed_back, mark_tested, start_work
from jobs.repairs.models import RepairOrder
from tests.conftest import TODAY
from tests.jobs.approvals.booked import draft_of
from tests.jobs.workshop import money_in_bank, owner_says_yes, part, ready

pytestmark = pytest.mark.django_db
WORDS = (
    "price", "take", "take", "agree", "agree", "approve", "approve",
    "ask", "supplement", "decline", "buy", "buy", "buy", "buy beyond",
    "back", "shelf", "start", "test", "keys", "cancel", "renew", "let go", "wait",
)  # fmt: skip
Crew = tuple[Person, Person, Person, list[RepairOrder]]
STEPS = st.lists(
    st.tuples(st.sampled_from(WORDS), st.integers(0, 10**6), st.integers(1, 600_00)), min_size=15, max_size=30
)


class Bench:
    """Two repairs, one day after another, and what happens to them."""

    def __init__(
        self, owner: Person, treasurer: Person, volunteer: Person, repairs: list[RepairOrder]
    ) -> None:
        self.owner, self.treasurer, self.volunteer, self.repairs = owner, treasurer, volunteer, repairs
        self.bought, self.days = 0, 0

    def do(self, word: str, pick: int, cents: int) -> None:
        repair = self.repairs[pick % 2]
        repair.refresh_from_db()
        verb: Any = getattr(self, f"_{word.replace(' ', '_')}")
        if word not in ("take", "approve", "supplement"):
            verb(repair, pick, cents)
            return
        general, free = general_promised(repair.number), max(position().free_to_commit, Money.zero)
        said: Approval = verb(repair, pick, cents)
        alone_is_enough(said, general, free)

    def _wait(self, repair: RepairOrder, pick: int, cents: int) -> None:
        self.days += pick % 35

    def _price(self, repair: RepairOrder, pick: int, cents: int) -> None:
        set_estimate(by=self.volunteer, repair=repair, lines=part(cents))

    def _take(self, repair: RepairOrder, pick: int, cents: int) -> Approval:
        return take_consumables(
            by=self.volunteer, repair=repair, amount=Money(cents % 60_00 + 1), words="cleaner"
        )

    def _agree(self, repair: RepairOrder, pick: int, cents: int) -> None:
        agree(by=self.treasurer, repair=repair)

    def _approve(self, repair: RepairOrder, pick: int, cents: int) -> Approval:
        return approve(by=self.owner, repair=repair, purpose=("general", "tires")[pick % 3 == 0])

    def _ask(self, repair: RepairOrder, pick: int, cents: int) -> None:
        request_supplement(by=self.volunteer, repair=repair, lines=part(cents // 4 + 1), reason="more")

    def _supplement(self, repair: RepairOrder, pick: int, cents: int) -> Approval:
        return supplement(by=self.owner, repair=repair)

    def _decline(self, repair: RepairOrder, pick: int, cents: int) -> None:
        decline(by=self.owner, repair=repair, reason="not now")

    def _draft(self, repair: RepairOrder, pick: int, cents: int) -> Receipt:
        self.bought += 1
        home = "fluid" if pick % 3 == 0 else "part"
        return draft_of(self.volunteer, repair, str(Money(cents)), home=home, number=str(self.bought))

    def _buy(self, repair: RepairOrder, pick: int, cents: int) -> None:
        post_receipt(by=self.volunteer, receipt=self._draft(repair, pick, cents // (pick % 5 + 1) + 1))

    def _buy_beyond(self, repair: RepairOrder, pick: int, cents: int) -> None:
        bill = self._draft(repair, pick, cents)
        ratify_receipt(by=self.owner, receipt=bill, reason="bought already")

    def _portion(self, pick: int) -> ReceiptPortion:
        found = list(ReceiptPortion.objects.filter(line__receipt__state="posted").order_by("pk"))
        if not found:
            raise NotReady("Nothing was bought yet.")
        return found[pick % len(found)]

    def _back(self, repair: RepairOrder, pick: int, cents: int) -> None:
        return_to_store(
            by=self.volunteer,
            portion=self._portion(pick),
            quantity=pick % 1000 + 1,
            on=clock.today(),
            reason="back",
        )

    def _shelf(self, repair: RepairOrder, pick: int, cents: int) -> None:
        return_to_shelf(
            by=self.volunteer,
            portion=self._portion(pick),
            quantity=pick % 1000 + 1,
            on=clock.today(),
            reason="back",
        )

    def _start(self, repair: RepairOrder, pick: int, cents: int) -> None:
        owner_says_yes(self.volunteer, repair)
        start_work(by=self.volunteer, repair=repair)

    def _test(self, repair: RepairOrder, pick: int, cents: int) -> None:
        mark_tested(by=self.volunteer, repair=repair)

    def _keys(self, repair: RepairOrder, pick: int, cents: int) -> None:
        mark_handed_back(by=self.volunteer, repair=repair)

    def _cancel(self, repair: RepairOrder, pick: int, cents: int) -> None:
        cancel(by=self.volunteer, repair=repair, reason="stops")

    def _renew(self, repair: RepairOrder, pick: int, cents: int) -> None:
        renew(by=self.owner, repair=repair, reason="still wanted")

    def _let_go(self, repair: RepairOrder, pick: int, cents: int) -> None:
        let_go(by=self.owner, repair=repair, reason="nobody used it")


def alone_is_enough(said: Approval, before: Money, free: Money) -> None:
    """Nobody took more than 50.00 of consumables alone, nor alone more than a quarter of the general money that was free.

    Reckoned from what the books say is promised before and after, not from what the decision says of itself.
    """
    after = general_promised(said.repair.number)
    agreed = said.repair.approvals.filter(kind="agreement", snapshot__agreed_on=said.snapshot["agreed_on"])
    if said.kind == "consumables":
        assert allowance(said.repair.number).promised <= Money(50_00)
        agreed = agreed.none()
    if after > before:
        assert after * 4 <= free + before or agreed.exclude(approver=said.approver).exists()


def holds_at_each_step() -> None:
    assert all(amount >= Money.zero for amount in open_by_purpose().values())
    now = position()
    assert now.free_to_commit <= now.bank


def holds(repairs: list[RepairOrder]) -> None:
    """Everything that must be true whatever happened."""
    holds_at_each_step()
    assert list(commitment_breaks()) == []  # reads every move again: never below zero on the way either
    assert list(promise_breaks()) == []
    assert list(approver_breaks()) == []
    assert list(consumables_breaks()) == []
    assert breaks() == []
    for repair in repairs:
        granted = allowance(repair.number)
        assert granted.spent == cost_of(repair.number)
        assert granted.spent <= granted.limit  # nothing was ever spent without a yes
        assert Money.zero <= granted.open <= max(granted.promised, Money.zero)
        repair.refresh_from_db()
        if repair.ended:
            assert granted.open == Money.zero
    booked = total(balance(code) for code in chart.REPAIR_COST)
    assert booked == total(cost_of(repair.number) for repair in repairs)


@settings(
    max_examples=25,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(steps=STEPS)
def test_no_commitment_is_negative_and_nothing_free_exceeds_the_bank(
    steps: list[tuple[str, int, int]], bench: Crew
) -> None:
    repairs = bench[-1]
    with transaction.atomic():
        work = Bench(*bench)
        for word, pick, cents in steps:
            with clock.at(TODAY + timedelta(days=work.days)):
                with suppress(
                    Refusal
                ):  # what may not be done is refused whole, and the sums must hold then too
                    work.do(word, pick, cents)
                holds_at_each_step()
        holds(repairs)
        transaction.set_rollback(True)


@pytest.fixture
def bench(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> Crew:
    add_purpose(by=treasurer, code="tires", name="Tires")
    money_in_bank(treasurer, 1_900_00)
    money_in_bank(treasurer, 250_00, "tires")
    repairs = [
        ready(screener, volunteer, owner, part(400_00), name=name, mechanic=volunteer)
        for name in ("One", "Two")
    ]
    for repair in repairs:
        answer_relation(by=treasurer, repair=repair, tie=False)
    return owner, treasurer, volunteer, repairs


def test_the_steps_do_reach_every_kind_of_move(bench: Crew) -> None:
    """A sequence written by hand, so that the property above is known not to be about nothing."""
    repairs = bench[-1]
    work = Bench(*bench)
    script = [
        ("take", 0, 29_99), ("buy", 0, 19_99), ("agree", 0, 1), ("approve", 0, 1), ("renew", 0, 1),
        ("buy", 0, 100_00), ("ask", 0, 200_00), ("supplement", 0, 1),
        ("buy beyond", 0, 565_00), ("back", 700, 1), ("start", 0, 1), ("test", 0, 1), ("keys", 0, 1),
        ("price", 1, 300_00), ("agree", 1, 1), ("approve", 1, 1), ("wait", 34, 1), ("wait", 34, 1), ("let go", 1, 1),
    ]  # fmt: skip
    for word, pick, cents in script:
        with clock.at(TODAY + timedelta(days=work.days)):
            work.do(word, pick, cents)
            holds(repairs)
    kinds = set(CommitmentMove.objects.values_list("kind", flat=True))
    assert kinds == {"promise", "spend", "give back", "release", "lapse", "extend"}
