from datetime import date

import pytest

from fund import clock
from fund.ledger.actions import post
from fund.ledger.chart import BANK, GIFTS
from fund.ledger.rules import EntryDraft, cr, dr
from fund.refusal import NotReady
from reports.month.actions import close_month, publish_month
from reports.month.queries import next_to_publish
from tests.fund.receipts.makers import m
from tests.reports.month import march as story
from tests.reports.month.lived import AFTER
from tests.reports.month.march import Crew


def test_months_are_published_in_order(crew: Crew) -> None:
    story.february(crew)
    with clock.at(date(2026, 3, 5)):
        lines = [dr(BANK, m("5.00")), cr(GIFTS, m("5.00"))]
        post(by=crew.treasurer, draft=EntryDraft("gift", date(2026, 3, 4), "Gift", lines))
    with clock.at(AFTER):
        close_month(by=crew.treasurer, month="2026-03")
        assert next_to_publish() == "2026-02"
        with pytest.raises(NotReady, match="publish 2026-02 first"):
            publish_month(by=crew.owner, month="2026-03")
