"""A draft keeps what was read off the paper, even unfinished; nothing of it is in the books."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from fund.access.models import Person
from fund.ledger.models import Entry
from fund.receipts.actions import drop_draft, post_receipt, save_draft
from fund.receipts.models import Receipt, Supplier
from fund.refusal import AlreadyDone, BadInput, NotAllowed
from tests.fund.receipts.makers import bought, line, m, paper


def test_an_unfinished_draft_is_kept_and_books_nothing(volunteer: Person) -> None:
    receipt = save_draft(
        by=volunteer, data=paper(volunteer, "164.29", "12.29", line("pads", "80.00", "supplies"))
    )
    assert (receipt.code, receipt.state, receipt.entered_by) == ("R-00001", "draft", volunteer)
    assert [row.text for row in receipt.lines.all()] == ["pads"]
    assert Entry.objects.count() == 0


def test_a_draft_without_lines_or_a_taxed_line_is_kept(volunteer: Person) -> None:
    assert save_draft(by=volunteer, data=paper(volunteer, "20.00", "1.00")).lines.count() == 0
    free = line("core", "19.00", "core", taxable=False)
    receipt = save_draft(by=volunteer, data=paper(volunteer, "20.00", "1.00", free))
    assert str(receipt.lines.get().tax_share) == "0.00"


def test_saving_again_replaces_the_lines(volunteer: Person) -> None:
    receipt = save_draft(
        by=volunteer, data=paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies"))
    )
    again = paper(
        volunteer, "21.00", "0.00", line("rags", "11.00", "supplies"), line("bits", "10.00", "tool")
    )
    saved = save_draft(by=volunteer, data=again, receipt=receipt)
    assert (saved.code, saved.total) == (receipt.code, m("21.00"))
    assert [row.text for row in saved.lines.all()] == ["rags", "bits"]


def test_a_store_is_one_store_however_it_is_typed(volunteer: Person) -> None:
    for name in ("Gantry Parts", "gantry  parts ", "GANTRY PARTS"):
        save_draft(by=volunteer, data=paper(volunteer, "20.00", "0.00", store=name))
    assert [row.name for row in Supplier.objects.all()] == ["Gantry Parts"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"store": "  "}, "which store"),
        ({"on": date(2026, 3, 16)}, "still to come"),
        ({"total": m("0.00")}, "more than 0.00"),
        ({"tax": m("-1.00")}, "cannot be less"),
        ({"tender": "favor"}, "what paid for it"),
        ({"card_last4": "12a4"}, "last four digits"),
        ({"lines": [line("", "20.00", "supplies")]}, "Say what the line of 20.00 is"),
        ({"lines": [line("rags", "-1.00", "supplies")]}, "Take a discount off the line"),
        ({"lines": [line("rags", "20.00")]}, "Say where “rags” goes"),
        ({"lines": [line("rags", "20.00", "garden")]}, "Say where “rags” goes"),
        ({"lines": [line("pads", "20.00", "part")]}, "Say which repair “pads” is for"),
        ({"lines": [line("pads", "20.00", ("part", "RO-9999"))]}, "no repair order RO-9999"),
        ({"lines": [line("rags", "20.00", ("supplies", "RO-0001"))]}, "no single repair"),
        ({"lines": [line("rags", "20.00", "supplies", unit="barrel")]}, "unit or condition"),
        ({"lines": [line("rags", "20.00", "supplies", quantity=0)]}, "quantity"),
    ],
)
def test_what_no_receipt_can_be_is_refused(volunteer: Person, change: dict[str, object], words: str) -> None:
    data = replace(paper(volunteer, "20.00", "0.00"), **change)  # type: ignore[arg-type]
    with pytest.raises(BadInput, match=words):
        save_draft(by=volunteer, data=data)
    assert Receipt.objects.count() == 0


def test_a_posted_receipt_is_not_saved_over(volunteer: Person, bank: None) -> None:
    receipt = bought(volunteer, paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies")))
    with pytest.raises(AlreadyDone, match="R-00001 is in the books"):
        save_draft(by=volunteer, data=paper(volunteer, "21.00", "0.00"), receipt=receipt)


def test_a_draft_can_be_thrown_away_with_a_reason_and_a_posted_receipt_cannot(volunteer: Person) -> None:
    draft = save_draft(by=volunteer, data=paper(volunteer, "20.00", "0.00"))
    with pytest.raises(BadInput, match="why"):
        drop_draft(by=volunteer, receipt=draft, reason=" ")
    drop_draft(by=volunteer, receipt=draft, reason="photographed twice")
    assert Receipt.objects.count() == 0
    posted = bought(volunteer, paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies")))
    with pytest.raises(AlreadyDone, match="cannot be thrown away"):
        drop_draft(by=volunteer, receipt=posted, reason="no")


@pytest.mark.parametrize("who", ["screener", "accountant"])
def test_only_those_with_the_power_enter_receipts(who: str, request: pytest.FixtureRequest) -> None:
    person = request.getfixturevalue(who)
    with pytest.raises(NotAllowed, match="owner, treasurer or volunteer"):
        save_draft(by=person, data=paper(person, "20.00", "0.00"))


def test_only_those_with_the_power_post_receipts(
    volunteer: Person, accountant: Person, repair: Callable[..., str]
) -> None:
    receipt = save_draft(
        by=volunteer, data=paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies"))
    )
    with pytest.raises(NotAllowed):
        post_receipt(by=accountant, receipt=receipt)
