import pytest
from django.db import DatabaseError, connection, transaction

from fund.access.models import Person
from fund.trail.actions import record
from fund.trail.models import TrailLine


@pytest.mark.parametrize("sql", ["UPDATE fund_trailline SET text = 'other'", "DELETE FROM fund_trailline"])
def test_nobody_rewrites_the_trail(owner: Person, sql: str) -> None:
    record(by=owner, action="rules.change", subject="core_days", text="Days to bring a core back: 45")
    with pytest.raises(DatabaseError, match="stays"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql)
    assert TrailLine.objects.get(subject="core_days").text.endswith("45")


def test_a_long_text_is_cut_not_lost(owner: Person) -> None:
    assert len(record(by=owner, action="x", subject="y", text="z" * 900).text) == 400
