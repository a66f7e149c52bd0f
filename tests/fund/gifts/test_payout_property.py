"""Whatever a file holds, its payout leaves nothing in clearing, and posting it twice equals posting it once."""

from datetime import date, timedelta

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fund.access.models import Person
from fund.gifts.actions_payout import import_payout
from fund.gifts.models import Gift, GiftReturn
from fund.ledger.actions import add_purpose
from fund.ledger.models import Entry, Line
from fund.ledger.queries import balances
from fund.money import Money
from tests.fund.gifts.files import kettle_card, kettle_file, taken, to_bank

# (amount, fee, purpose, day, refunded amount or none), minor units
GIFT = st.tuples(
    st.integers(1, 500_000),
    st.integers(0, 5_000),
    st.sampled_from(["", "any", "tires"]),
    st.integers(0, 60),
    st.none() | st.integers(1, 500_000),
)
FEE = st.tuples(st.booleans(), st.integers(1, 3_000), st.integers(0, 60))


class _UndoError(Exception):
    pass


def build(
    gifts: list[tuple[int, int, str, int, int | None]], fees: list[tuple[bool, int, int]]
) -> tuple[bytes, int]:
    """A file and what it pays out, added up here from plain numbers."""
    start, paid = date(2026, 1, 10), 0
    rows = []
    for n, (amount, fee, purpose, day, back) in enumerate(gifts):
        on = str(start + timedelta(days=day))
        rows.append(taken(f"g{n}", on, str(Money(amount)), str(Money(fee)), giver_note_code=purpose))
        paid += amount - fee
        if back is not None:
            back = min(back, amount)
            rows.append(taken(f"r{n}", on, str(Money(-back)), movement="money back", original_id=f"g{n}"))
            paid -= back
    for n, (given_back, amount, day) in enumerate(fees):
        on = str(start + timedelta(days=day))
        word, signed = ("fee correction", amount) if given_back else ("monthly fee", -amount)
        rows.append(taken(f"f{n}", on, str(Money(signed)), movement=word))
        paid += signed
    rows.append(to_bank("P1", "2026-03-14", str(Money(-paid))))
    return kettle_file(*rows), paid


@pytest.mark.django_db
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(gifts=st.lists(GIFT, min_size=1, max_size=12), fees=st.lists(FEE, max_size=3))
def test_any_payout_empties_clearing_and_is_posted_once(
    treasurer: Person,
    gifts: list[tuple[int, int, str, int, int | None]],
    fees: list[tuple[bool, int, int]],
) -> None:
    data, paid = build(gifts, fees)
    # Hypothesis runs every example in one test, so each takes its own savepoint back.
    with pytest.raises(_UndoError), transaction.atomic():
        add_purpose(by=treasurer, code="tires", name="Tires")
        import_payout(by=treasurer, data=data, filename="f.csv", layout=kettle_card())
        pots = balances()
        assert all(amount == Money.zero for (account, _), amount in pots.items() if account == "1032")
        assert sum(amount.minor for (account, _), amount in pots.items() if account == "1000") == paid
        tires = sum(
            amount - min(back or 0, amount) for amount, _, purpose, _, back in gifts if purpose == "tires"
        )
        assert pots.get(("1000", "tires"), Money.zero) == Money(tires)
        before = (
            Entry.objects.count(),
            Line.objects.count(),
            Gift.objects.count(),
            GiftReturn.objects.count(),
        )
        again = import_payout(by=treasurer, data=data, filename="f.csv", layout=kettle_card())
        assert again.posted == 0
        after = (
            Entry.objects.count(),
            Line.objects.count(),
            Gift.objects.count(),
            GiftReturn.objects.count(),
        )
        assert after == before
        raise _UndoError
