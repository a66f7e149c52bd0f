"""Forms about paid work: what an owner decides, and what a contractor billed."""

from typing import Any

from django import forms

from fund.access.models import Person
from fund.forms import BookForm, DayField, MoneyFormField
from jobs.hours.forms import PersonField, RepairField, crew_with_hours
from jobs.repairs.forms import words
from jobs.repairs.queries import open_repairs


class PayForm(BookForm):
    person = PersonField(label="Who wants to be paid", empty_label=None)
    answer = forms.ChoiceField(
        label="Decision",
        choices=[
            ("refused", "No: their hours stay gifts"),
            ("contractor", "Yes: a contractor from a day on"),
        ],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose one."},
    )
    reason = words("Why", rows=2)
    from_on = DayField(
        label="Contractor from",
        required=False,
        future=True,
        help_text="Nothing given before that day is paid for.",
    )
    conflict = forms.CharField(
        label="How the conflict is kept out",
        required=False,
        max_length=300,
        help_text="Who asks for the work, who approves it and who pays; none of them this person.",
    )
    tax_form_on = DayField(
        label="Tax form received on",
        required=False,
        help_text="In the US Form W-9, before the first payment. The accountant says what is reported for the year.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["person"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = crew_with_hours()

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if data.get("answer") == "contractor":
            for name in ("from_on", "conflict", "tax_form_on"):
                if not data.get(name) and name not in self.errors:
                    self.add_error(name, "A contractor needs this.")
        return data


class BillForm(BookForm):
    person = PersonField(label="Contractor", empty_label=None)
    repair = RepairField(label="Repair", empty_label=None)
    number = forms.CharField(label="Number of the bill", max_length=40)
    on = DayField(label="Day of the work")
    amount = MoneyFormField(label="Amount", above_zero=True)
    text = forms.CharField(label="What was done", max_length=120)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        paid = Person.objects.filter(pay_decisions__answer="contractor").distinct()
        for name, rows in (("person", paid), ("repair", open_repairs())):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = rows
