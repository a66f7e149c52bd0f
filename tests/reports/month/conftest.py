import pytest

from fund.access.models import Person
from tests.reports.month.march import Crew


@pytest.fixture
def crew(owner: Person, treasurer: Person, screener: Person, volunteer: Person, volunteer2: Person) -> Crew:
    return Crew(owner, treasurer, screener, volunteer, volunteer2)
