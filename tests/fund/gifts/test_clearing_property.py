"""Any mix of gifts, fees, refunds, disputes and payouts keeps clearing at what the platform says it holds."""

from dataclasses import dataclass, field
from datetime import date, timedelta

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fund.access.models import Person
from fund.gifts.actions_payout import import_payout
from fund.gifts.models import Gift
from fund.gifts.proofs import clearing_breaks, payout_breaks
from fund.gifts.queries import facts_of
from fund.ledger.models import Entry
from fund.ledger.queries import balance, balances
from fund.money import Money
from tests.fund.gifts.files import kettle_card, kettle_file, taken, to_bank

# (what happens, amount or fee in minor units, which earlier gift)
STEP = st.tuples(
    st.sampled_from(["gift", "refund", "dispute", "won", "lost", "failed", "fee", "dispute fee", "payout"]),
    st.integers(1, 30_000),
    st.integers(0, 20),
)
START = date(2026, 1, 1)


class _UndoError(Exception):
    pass


@dataclass
class Machine:
    """The platform, played with plain numbers: what it holds, and the rows that its file will have."""

    holds: int = 0
    rows: list[dict[str, str]] = field(default_factory=list)
    waiting: list[int] = field(default_factory=list)
    gifts: dict[str, int] = field(default_factory=dict)
    gone: dict[str, str] = field(default_factory=dict)

    def take(self, n: int, step: tuple[str, int, int]) -> None:
        what, amount, which = step
        day = str(START + timedelta(days=n))
        standing = [ref for ref in self.gifts if ref not in self.gone]
        gone = [ref for ref, how in self.gone.items() if how in ("dispute", "refund")]
        if what == "gift":
            fee = amount % 40
            self.gifts[f"g{n}"] = amount + 40
            self._row(taken(f"g{n}", day, str(Money(amount + 40)), str(Money(fee)), to=""), amount + 40 - fee)
        elif what in ("refund", "dispute", "lost") and standing:
            ref = standing[which % len(standing)]
            words = {"refund": "money back", "dispute": "dispute opened", "lost": "dispute lost"}
            back = self.gifts[ref]
            row = taken(f"x{n}", day, str(Money(-back)), movement=words[what], original_id=ref, to="")
            self._row(row, -back)
            self.gone[ref] = what
        elif what in ("won", "failed") and gone:
            ref = gone[which % len(gone)]
            word = "dispute won" if self.gone[ref] == "dispute" else "money back failed"
            back = self.gifts[ref]
            self._row(taken(f"x{n}", day, str(Money(back)), movement=word, original_id=ref, to=""), back)
            self.gone[ref] = "came back"
        elif what in ("fee", "dispute fee"):
            word = "monthly fee" if what == "fee" else what
            self._row(taken(f"x{n}", day, str(Money(-amount)), movement=word, to=""), -amount)
        elif what == "payout" and self.waiting:
            for at in self.waiting:
                self.rows[at]["payout_id"] = f"P{n}"
            self.rows.append(to_bank(f"P{n}", day, str(Money(-self.holds))))
            self.waiting, self.holds = [], 0

    def _row(self, row: dict[str, str], moved: int) -> None:
        self.waiting.append(len(self.rows))
        self.rows.append(row)
        self.holds += moved


@pytest.mark.django_db
@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(STEP, min_size=1, max_size=25), cuts=st.lists(st.integers(1, 25), max_size=3))
def test_clearing_is_what_the_platform_holds(
    treasurer: Person, steps: list[tuple[str, int, int]], cuts: list[int]
) -> None:
    with pytest.raises(_UndoError), transaction.atomic():
        machine = Machine()
        for n, step in enumerate(steps):
            machine.take(n, step)
            if n in cuts and machine.rows:  # an export in between, whose rows come again with the next
                _post(treasurer, machine)
                assert balance("1032").minor == machine.holds
        if machine.rows:
            _post(treasurer, machine)
            before = Entry.objects.count()
            assert _post(treasurer, machine) == 0
            assert Entry.objects.count() == before
        assert balance("1032").minor == machine.holds
        assert [*clearing_breaks(), *payout_breaks()] == []
        standing = {ref for ref in machine.gifts if machine.gone.get(ref, "came back") == "came back"}
        told = {gift.platform_ref for gift in Gift.objects.all() if facts_of(gift).state == "standing"}
        assert told == standing
        raise _UndoError


@pytest.mark.django_db
@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    steps=st.lists(STEP, min_size=2, max_size=20), cuts=st.sets(st.integers(1, 20), min_size=1, max_size=4)
)
def test_exports_that_overlap_come_to_the_same_as_the_last_one_alone(
    treasurer: Person, steps: list[tuple[str, int, int]], cuts: set[int]
) -> None:
    seen: list[dict[object, Money]] = []
    for pieces in (cuts, set()):
        with pytest.raises(_UndoError), transaction.atomic():
            machine = Machine()
            for n, step in enumerate(steps):
                machine.take(n, step)
                if n in pieces and machine.rows:
                    _post(treasurer, machine)
            if machine.rows:
                _post(treasurer, machine)
            seen.append({key: amount for key, amount in balances().items() if amount})
            raise _UndoError
    assert seen[0] == seen[1]


def _post(by: Person, machine: Machine) -> int:
    done = import_payout(by=by, data=kettle_file(*machine.rows), filename="f.csv", layout=kettle_card())
    return done.posted
