"""Receipts worth a second look stand on the close list of their month until they are answered, and stop nothing."""

from datetime import date

from fund import clock
from fund.access.models import Person
from fund.receipts.actions_look import answer_look
from fund.receipts.queries_look import open_looks
from reports.month.queries_close import close_list
from reports.month.queries_close_receipts import look_stops
from reports.month.rules_close import stopping
from tests.fund.receipts.makers import bought, fill_bank, line, paper


def test_a_vague_receipt_is_told_until_somebody_else_has_answered_and_stops_no_close(
    treasurer: Person, volunteer: Person, owner: Person
) -> None:
    fill_bank(treasurer)
    vague = line("misc", "9.00", "supplies")
    bought(volunteer, paper(volunteer, "9.00", "0.00", vague, on=date(2026, 3, 10)))
    with clock.at(date(2026, 4, 1)):
        (told,) = (stop for stop in close_list("2026-03") if stop.code == "second look")
        assert told.text == (
            "1 thing about receipts until 2026-03-31 would be asked by an auditor: vague words. The reason is"
            " written down by somebody it does not concern."
        )
        assert (told.blocks, told.url) == (False, "/crew/receipts/second-look/")
        assert told not in stopping(close_list("2026-03"))
        assert look_stops(date(2026, 3, 9)) == []  # it is of the month in which it was bought
        answer_look(by=owner, key=open_looks()[0].key, words="hose clamps")
        assert look_stops(date(2026, 3, 31)) == []
