"""The figures for small benefits: a row a year, one to five to ten, with their source."""

from typing import Any

import pytest

from fund.access.models import Person
from fund.letters.actions_limits import add_token_limit
from fund.letters.models import TokenLimit
from fund.letters.queries import limits_by_year
from fund.letters.setup import load_token_limits
from fund.refusal import BadInput, NotAllowed
from tests.fund.letters.makers import m

YEAR: dict[str, Any] = {"low_cost": m("14.20"), "floor": m("71.00"), "cap": m("142.00"), "year": 2027}
SAID: dict[str, Any] = {"procedure": "Rev. Proc. 2026-99 (invented)", "source": "test"}


def test_the_newest_row_of_a_year_counts(owner: Person) -> None:
    add_token_limit(by=owner, **YEAR, **SAID, seen="memory")
    assert limits_by_year()[2027].from_memory
    add_token_limit(by=owner, **YEAR, **SAID)
    assert not limits_by_year()[2027].from_memory


def test_figures_out_of_proportion_without_a_source_or_from_a_volunteer_are_refused(
    owner: Person, volunteer: Person
) -> None:
    with pytest.raises(BadInput, match="1 to 5 to 10"):
        add_token_limit(by=owner, **{**YEAR, "floor": m("70.00")}, **SAID)
    with pytest.raises(BadInput, match="which revenue procedure"):
        add_token_limit(by=owner, **YEAR, procedure=" ", source="test")
    with pytest.raises(NotAllowed):
        add_token_limit(by=volunteer, **YEAR, **SAID)


def test_a_new_fund_begins_with_the_table_and_loading_it_again_adds_nothing(db: None) -> None:
    before = TokenLimit.objects.count()
    assert before == 8
    load_token_limits()
    assert TokenLimit.objects.count() == before
