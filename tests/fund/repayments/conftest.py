import pytest

from fund.access.models import Person
from tests.fund.receipts.makers import fill_bank


@pytest.fixture
def bank(treasurer: Person) -> None:
    fill_bank(treasurer)
