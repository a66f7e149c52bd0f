from datetime import date

from django.db import connection

from fund.access.models import Person
from fund.letters.actions import write_gift_letter
from fund.letters.proofs import letter_breaks
from tests.fund.letters.conftest import Give


def test_a_letter_altered_behind_the_programs_back_is_named(treasurer: Person, give: Give) -> None:
    write_gift_letter(by=treasurer, gift=give("20.00", date(2025, 5, 2)))
    assert list(letter_breaks()) == []
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("DROP TRIGGER fund_letter_no_update")
        else:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute("ALTER TABLE fund_letter DISABLE TRIGGER fund_letter_no_change")
        cursor.execute('UPDATE fund_letter SET words = \'{"subject": "x"}\', amount = 3000')
    assert list(letter_breaks()) == [
        "The words of letter 1 are not those it was written with.",
        "Letter 1 says 30.00, its gifts are 20.00.",
    ]
