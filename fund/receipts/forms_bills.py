from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fund import clock
from fund.forms import BookForm, DayField, MoneyFormField
from fund.receipts.models import Receipt
from fund.receipts.queries_statement import with_left
from fund.receipts.rules_statement import Stated, rows_of_statement, sum_refusal
from fund.refusal import BadInput


class BillForm(BookForm):
    """Bills of one supplier to be paid."""

    receipts = forms.ModelMultipleChoiceField(
        Receipt.objects.none(), label="Bills", widget=forms.CheckboxSelectMultiple
    )
    amount = MoneyFormField(
        label="Amount sent", above_zero=True, help_text="What the chosen papers add up to, no more."
    )
    on = DayField(label="Day it was sent")

    def __init__(self, *args: Any, bills: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["receipts"]
        assert isinstance(field, forms.ModelMultipleChoiceField)
        field.queryset = bills
        left = {row.pk: row.left for row in with_left(bills)}  # type: ignore[attr-defined]
        field.label_from_instance = lambda bill: _bill_label(bill, left[bill.pk])  # type: ignore[method-assign,assignment]


def _bill_label(bill: Receipt, left: Any) -> str:
    number = f", number {bill.number}" if bill.number else ""
    return f"{bill.code} of {bill.on:%Y-%m-%d}{number}: {left}"


class StatementForm(BookForm):
    """A store's statement of account, as it came."""

    said = MoneyFormField(label="The statement says", above_zero=True, help_text="What is to pay, in all.")
    on = DayField(label="Date of the statement")
    rows = forms.CharField(
        label="Its rows",
        required=False,
        max_length=8000,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false"}),
        help_text="One to a line: number, day, amount, like 30757 2026-03-03 37.60. A credit with a minus. Without rows"
        " only the sums are compared.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["initial"] = {"on": clock.today(), **(kwargs.get("initial") or {})}
        super().__init__(*args, **kwargs)

    def clean_rows(self) -> list[Stated]:
        try:
            return rows_of_statement(self.cleaned_data["rows"])
        except BadInput as refusal:
            raise ValidationError(refusal.sentence) from refusal

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if data.get("said") and "rows" in data and (why := sum_refusal(data["said"], data["rows"])):
            self.add_error("rows", why)
        return data


class AnswerForm(BookForm):
    answer = forms.CharField(label="What the store answered", max_length=300)
