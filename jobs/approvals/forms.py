from typing import Any

from django import forms

from fund.forms import BookForm, MoneyFormField

TIE = [("no", "No tie"), ("yes", "Yes, there is a tie")]
TIE_LABEL = "Is anyone in this household related to you or close to you?"
TIE_HELP = "Family, partner, neighbor, friend, tenant, someone you work for. Asked anew for each repair."


def tie_field() -> forms.ChoiceField:
    return forms.ChoiceField(label=TIE_LABEL, help_text=TIE_HELP, choices=TIE, widget=forms.RadioSelect)


def tie_words() -> forms.CharField:
    return forms.CharField(
        label="What the tie is", max_length=300, required=False, help_text="A few words, such as “my cousin”."
    )


class TieForm(BookForm):
    """One's own answer. A tie is nothing to be ashamed of; it only changes who decides."""

    tie = tie_field()
    words = tie_words()

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("tie") == "yes" and not data.get("words"):
            self.add_error("words", "Say in a few words what the tie is.")
        return data


class DecisionForm(TieForm):
    """The decision, with the decider's own answer beside it."""

    purpose = forms.ChoiceField(label="Out of which money")
    reason = forms.CharField(
        label="Reason",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Needed for a no and for later; the household may be told it. Kept with the decision.",
    )

    unreachable = forms.CharField(
        label="No owner can be reached: how and when you tried",
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(
        self, *args: Any, purposes: list[tuple[str, str]], word: str = "", stands_in: str = "", **kwargs: Any
    ) -> None:
        """``stands_in`` is up to how much the person may decide in an owner's place; empty for an owner."""
        super().__init__(*args, **kwargs)
        self.word = word
        if stands_in:
            words = f"You may then approve a repair of at most {stands_in} in all. Leave it empty to wait for an owner."
            self.fields["unreachable"].help_text = words
        else:
            del self.fields["unreachable"]
        field = self.fields["purpose"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = purposes
        if len(purposes) == 1:
            field.widget = forms.HiddenInput()
            field.initial = purposes[0][0]

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if self.word in ("no", "later") and not data.get("reason"):
            self.add_error("reason", "Say why, in words the household may be told.")
        return data


class ConsumablesForm(BookForm):
    """What the mechanic needs before the decision: fluids and small supplies, never a part."""

    amount = MoneyFormField(label="How much, tax included", above_zero=True)
    words = forms.CharField(
        label="What for", max_length=120, help_text="Fluids and small supplies only, such as brake cleaner."
    )


class WhyForm(BookForm):
    """A reason, kept with what is done and read by others years later."""

    reason = forms.CharField(label="Why", max_length=300, widget=forms.Textarea(attrs={"rows": 3}))
