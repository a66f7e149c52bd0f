"""What only its buyer has seen is not paid back: a photo, the paper in other hands, or a lost receipt with its limits."""

from collections.abc import Callable
from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.attachments.actions import store
from fund.receipts.actions import add_photo, save_draft
from fund.receipts.actions import post_receipt as post
from fund.receipts.telling import what_posting_does
from fund.refusal import NotReady
from fund.repayments.actions import prepare_repayment
from fund.repayments.models import Repayment
from reports.month.queries_close import close_list
from tests.fund.attachments.makers import photo
from tests.fund.receipts.makers import bought, line, m, paper

ClientFor = Callable[[Person], Client]
DAY = date(2026, 3, 12)


def _rags(buyer: Person, amount: str = "500.00", **more: object) -> object:
    return paper(buyer, amount, "0.00", line("rags", amount, "supplies"), number="", **more)


def test_own_money_without_a_photo_is_posted_and_not_paid_back(
    bank: None, volunteer: Person, treasurer: Person
) -> None:
    draft = save_draft(by=volunteer, data=_rags(volunteer))  # type: ignore[arg-type]
    assert any("paid back when its photo is there" in told for told in what_posting_does(draft))
    claim = post(by=volunteer, receipt=draft)
    with pytest.raises(NotReady, match=f"There is no photo of {claim.code}"):
        prepare_repayment(by=treasurer, person=volunteer, receipts=[claim], on=DAY)
    assert Repayment.objects.count() == 0
    picture = SimpleUploadedFile("slip.jpg", photo(), "image/jpeg")
    kept = store(by=volunteer, upload=picture, subject=claim.code, power="receipt.see")
    add_photo(by=volunteer, receipt=claim, photo=kept)
    paid = prepare_repayment(by=treasurer, person=volunteer, receipts=[claim], on=DAY)
    assert [item.flag for item in paid.items.all()] == [""]


def test_who_prepares_may_have_looked_at_the_paper_and_the_releaser_reads_so(
    bank: None, volunteer: Person, treasurer: Person, client_for: ClientFor
) -> None:
    claim = bought(volunteer, _rags(volunteer))  # type: ignore[arg-type]
    page, prepare = client_for(treasurer), reverse("repayments:prepare", args=["tavi"])
    assert "I have looked at the papers" in page.get(prepare).content.decode()
    typed = {"receipts": [claim.pk], "on": "2026-03-12", "check_number": "", "way": "transfer"}
    refused = page.post(prepare, typed)
    assert refused.status_code == 422
    assert "take it back and enter it as lost" in refused.content.decode()
    shown = page.post(prepare, {**typed, "papers_seen": "on"}, follow=True).content.decode()
    assert "paper seen, no photo" in shown


def test_a_receipt_approved_as_lost_has_been_looked_at(
    bank: None, volunteer: Person, treasurer: Person
) -> None:
    data = _rags(volunteer, "20.00", missing=True, missing_how="blown away; card slip kept")
    claim = post(by=treasurer, receipt=save_draft(by=volunteer, data=data))  # type: ignore[arg-type]
    paid = prepare_repayment(by=treasurer, person=volunteer, receipts=[claim], on=DAY)
    assert (paid.amount, [item.flag for item in paid.items.all()]) == (m("20.00"), ["no receipt"])


def test_the_close_list_names_receipts_without_a_photo_and_does_not_stop_for_them(
    bank: None, volunteer: Person
) -> None:
    claim = bought(volunteer, _rags(volunteer))  # type: ignore[arg-type]
    (told,) = (stop for stop in close_list("2026-03") if stop.code == "no photo")
    assert told.text.startswith(f"1 receipt has no photo: {claim.code}.")
    assert not told.blocks
