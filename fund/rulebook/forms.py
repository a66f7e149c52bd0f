from typing import Any

from django import forms

from fund import clock
from fund.forms import BookForm, DayField
from fund.refusal import BadInput
from fund.rulebook.rules import Rule

KIND_HELP = {
    "money": "An amount, like 1000.00.",
    "number": "A whole number.",
    "text": "",
    "yesno": "Yes or no.",
    "choice": "",
}


class RuleForm(BookForm):
    """A new value of one rule; the action reads it once more in the same way."""

    value = forms.CharField(label="New value", max_length=200)
    valid_from = DayField(
        label="Valid from",
        future=True,
        help_text="Decisions taken before this day keep the value they used.",
    )
    reason = forms.CharField(
        label="Why it changes",
        max_length=400,
        help_text="One sentence that a reader of the trail will understand in three years.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, spec: Rule, *args: Any, **kwargs: Any) -> None:
        kwargs["initial"] = {"valid_from": clock.today(), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        self.spec = spec
        self.fields["value"].help_text = f"{KIND_HELP[spec.kind]} {spec.note}".strip()
        self.fields["value"].required = not spec.empty
        if spec.kind == "yesno":
            choices = [("yes", "Yes"), ("no", "No")]
            self.fields["value"] = forms.ChoiceField(
                label="New value", choices=choices, widget=forms.RadioSelect
            )

        if spec.kind == "choice":
            self.fields["value"] = forms.ChoiceField(
                label="New value", choices=[(name, name) for name in spec.choices], widget=forms.RadioSelect
            )

    def clean_value(self) -> str:
        value: str = self.cleaned_data["value"]
        try:
            self.spec.read(value)
        except BadInput as refusal:
            raise forms.ValidationError(refusal.sentence) from refusal
        return value
