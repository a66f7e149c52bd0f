from collections.abc import Callable
from datetime import date

import pytest

from fund.access.models import Person
from fund.gifts.actions import add_supporter, record_gift
from fund.gifts.models import Gift, Supporter
from fund.rulebook.actions import set_rule
from tests.fund.letters.makers import m

Give = Callable[..., Gift]


@pytest.fixture
def exempt(owner: Person) -> None:
    """From 2024 on gifts to the fund are tax-deductible."""
    set_rule(
        by=owner, name="gifts_deductible", value="yes", valid_from=date(2024, 1, 1), reason="letter came"
    )
    set_rule(
        by=owner,
        name="fund_name",
        value="Larkwater Free Repair Fund",
        valid_from=date(2024, 1, 1),
        reason="x",
    )


@pytest.fixture
def anwen(treasurer: Person) -> Supporter:
    return add_supporter(
        by=treasurer, name="Anwen Pell", email="anwen@post.example", address="4 Quarry Street\nLarkwater"
    )


@pytest.fixture
def give(treasurer: Person, anwen: Supporter) -> Give:
    """``give("300.00", date(2025, 5, 1))``: a bank transfer from Anwen unless told otherwise."""

    def record(amount: str, on: date, supporter: Supporter | None = anwen, **more: object) -> Gift:
        kind = str(more.pop("kind", "transfer"))
        return record_gift(
            by=treasurer,
            kind=kind,
            received_on=on,
            amount=m(amount),
            supporter=supporter,
            **more,  # type: ignore[arg-type]
        )

    return record
