"""The receipt form as one thing: its head, its rows and the photo that came along."""

from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils.dateparse import parse_date

from fund import clock
from fund.attachments.actions import store
from fund.attachments.models import Attachment
from fund.forms import OnceForm
from fund.money import parse_money
from fund.pages import attempt, person_of
from fund.receipts.actions import save_draft
from fund.receipts.fields import repair_choices
from fund.receipts.filling import Doubts, doubts_of, fill, kept, mark, send_lines, still, travelling
from fund.receipts.fingerprint import ChangedMeanwhile, fingerprint
from fund.receipts.forms import (
    ROWS_MOST,
    LineFormSet,
    ReceiptForm,
    head_of,
    receipt_input,
    rows_of,
    unjudged,
    with_more_rows,
)
from fund.receipts.models import Receipt, Supplier
from fund.receipts.queries import asks_of, look_alikes
from fund.receipts.reading.photo import read_photo
from fund.receipts.reading.rules_fields import Reading
from fund.receipts.rules_alike import Print
from fund.refusal import BadInput
from fund.sent.once import Led, once


class ReceiptSheet:
    """Everything typed into the form, kept through more lines, mistakes and a photo that is too large."""

    def __init__(self, request: HttpRequest, receipt: Receipt | None, sent: OnceForm) -> None:
        """``sent`` is the form as it arrived, before a photo in it is kept and its lines are filled up."""
        self.request, self.receipt, self.person, self.sent = request, receipt, person_of(request), sent
        self.photo: Attachment | None = receipt.photo if receipt else None
        self.wrong_photo, self.unread, self.changed = "", "", False
        self.reading: Reading | None = None
        self.asked, self.adding = "read" in request.POST, "add" in request.POST
        data: Any = None
        doubts: Doubts = {}
        if request.method == "POST":
            data = with_more_rows(request.POST) if self.adding else request.POST.copy()
            self.photo, self.wrong_photo = self._kept_photo(data)
            doubts = still(kept(data.get("doubtful", "")), data)
            if self.asked:
                doubts |= self._read(data)
            data["doubtful"] = travelling(doubts)
            if not self.adding:
                send_lines(data)
        first = {"on": clock.today(), "buyer": self.person, "tender": "own_money"}
        if repair := request.GET.get("repair"):
            first |= {"all_home": "part", "all_repair": repair[:20]}
        if receipt:
            # What is kept as it is ticked was asked when it was kept.
            first = {**head_of(receipt), "seen": fingerprint(receipt), "taxed_so": bool(asks_of(receipt))}
        repairs = repair_choices()
        self.form = ReceiptForm(data, request.FILES or None, initial=first, repairs=repairs)
        lines = rows_of(receipt) if receipt else None
        self.rows = LineFormSet(data, prefix="lines", initial=lines, repairs=repairs)
        mark(self.form, doubts)
        for row in self.rows.forms:
            mark(row, doubts)
        if self.adding or self.asked:
            unjudged(self.form, *self.rows.forms)
        if self.wrong_photo:
            self.form.add_error("photo", self.wrong_photo)
        for error in sent.non_field_errors():
            self.form.add_error(None, error)
        self.form.once_token = sent.once_token

    def _kept_photo(self, data: Any) -> tuple[Attachment | None, str]:
        """Store a new photo at once, so that the next try need not send it again. What was wrong with it, if anything."""
        photo, wrong = self.photo, ""
        earlier = Attachment.objects.filter(code=data.get("kept_photo", ""), power="receipt.see").first()
        if earlier and (earlier.uploaded_by_id == self.person.pk or earlier == photo):
            photo = earlier
        upload = self.request.FILES.get("photo")
        if upload:
            subject = self.receipt.code if self.receipt else "receipt"
            try:
                photo = store(by=self.person, upload=upload, subject=subject, power="receipt.see")
            except BadInput as refusal:
                wrong = refusal.sentence
        data["kept_photo"] = photo.code if photo else ""
        return photo, wrong

    def _read(self, data: Any) -> Doubts:
        """Put what the photo says into the boxes that are still empty; returns what is doubtful of it."""
        if self.photo is None:
            self.unread = "" if self.wrong_photo else "Choose the photo first; then it can be read."
            return {}
        try:
            self.reading = read_photo(self.photo)
        except BadInput as refusal:
            self.unread = refusal.sentence
            return {}
        return fill(data, self.reading, ROWS_MOST)

    def save(self) -> Led | None:
        """The way to the draft, or None when something is wrong; the form then says what."""
        if not (self.form.is_valid() & self.rows.is_valid()) or self._cores_asked():
            return None
        data, seen = receipt_input(self.form.cleaned_data, self.rows.inputs()), self.form.cleaned_data["seen"]

        def keep() -> Receipt:
            try:
                return save_draft(
                    by=self.person, data=data, receipt=self.receipt, photo=self.photo, seen=seen
                )
            except ChangedMeanwhile:
                self._see_it_as_it_is()
                raise

        def way(saved: Receipt) -> str:
            return reverse("receipts:receipt", args=[saved.code])

        return attempt(
            self.request,
            self.form,
            lambda: once(self.request, self.sent, keep, way, lambda saved: f"{saved.code} is kept."),
        )

    def _cores_asked(self) -> bool:
        """Whether the ticks beside core deposits are asked about: their tax would go unseen to or from the job's cost."""
        said = self.form.cleaned_data
        why = (
            "" if said["taxed_so"] else self.rows.cores_asked(said["tax"], said["freight"], said["discount"])
        )
        if why:
            self.form.add_error("taxed_so", why)
        return bool(why)

    def _see_it_as_it_is(self) -> None:
        """The page now shows where the draft stands as it is, so the next save knows of it and may take its place."""
        assert self.receipt is not None
        self.changed = True
        self.form.data["seen"] = fingerprint(self.receipt)  # type: ignore[index]

    @property
    def context(self) -> dict[str, Any]:
        return {
            "form": self.form,
            "rows": self.rows,
            "receipt": self.receipt,
            "changed": self.changed,
            "photo": self.photo,
            "reading": self.reading,
            "doubts": doubts_of(self.reading) if self.reading else [],
            "unread": self.unread,
            "alike": self._alike(),
            "stores": Supplier.objects.values_list("name", flat=True),
        }

    def _alike(self) -> list[str]:
        """Receipts whose photo may show the same paper, by what stands in the boxes now."""
        if self.photo is None:
            return []
        store, number = (str(self.form[name].value() or "") for name in ("store", "number"))
        try:
            total = parse_money(str(self.form["total"].value() or ""))
        except BadInput:
            total = None
        try:
            on = parse_date(str(self.form["on"].value() or ""))
        except ValueError:
            on = None
        return look_alikes(
            self.photo, Print(store, number, total, on), self.receipt.pk if self.receipt else None
        )

    @property
    def status(self) -> int:
        wrong = self.form.errors or any(row.errors for row in self.rows.forms)
        return 422 if self.form.is_bound and not self.adding and not self.asked and wrong else 200
