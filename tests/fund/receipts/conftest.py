from collections.abc import Callable

import pytest

from fund.access.models import Person
from fund.receipts.reading import cap
from tests.fund.receipts.makers import fill_bank, open_repair


@pytest.fixture
def patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """For tests that really read: a machine busy with other tests may take longer than anybody would wait."""
    monkeypatch.setattr(cap, "SECONDS", 300)


@pytest.fixture
def bank(treasurer: Person) -> None:
    fill_bank(treasurer)


@pytest.fixture
def repair(bank: None, owner: Person) -> Callable[..., str]:
    """Open a repair order with money promised to it: ``repair("RO-0001", "500.00", "50.00")``."""

    def make(code: str = "RO-0001", approved: str = "500.00", tolerance: str = "50.00") -> str:
        return open_repair(owner, code, approved, tolerance)

    return make
