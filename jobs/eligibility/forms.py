from typing import Any

from django import forms

from fund.forms import BookForm, DayField
from jobs.eligibility.rules_decision import BY_ARITHMETIC, REASONS, VERDICTS

TIES = {"no": "No.", "yes": "Yes."}


class DecideForm(BookForm):
    """One decision, with the relation question first. A wrong or missing answer keeps all that was written."""

    tie = forms.ChoiceField(
        label="Are you or someone close to you tied to this household: family, friend, neighbor, landlord, work?",
        choices=list(TIES.items()),
        widget=forms.RadioSelect,
        help_text="Asked anew for each decision and kept. With a tie, someone else decides.",
    )
    tie_words = forms.CharField(label="If yes: how?", max_length=300, required=False)
    verdict = forms.ChoiceField(
        label="Verdict",
        choices=[(key, words.capitalize()) for key, words in VERDICTS.items()],
        widget=forms.RadioSelect,
    )
    reasons = forms.MultipleChoiceField(
        label="Reasons",
        choices=[(code, words) for code, words in REASONS.items() if code not in BY_ARITHMETIC],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Whether income is within or over the line is added by itself.",
    )
    words = forms.CharField(
        label="In your own words",
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="What was considered, or which papers are still needed. "
        "It goes word for word into the letter to the household.",
    )
    on = DayField(label="Decided on")

    def answers(self) -> dict[str, Any]:
        """What :func:`actions.answer_then_decide` takes. Call after ``is_valid``."""
        given = self.cleaned_data
        return {**given, "tie": given["tie"] == "yes"}
