from typing import Any

from django import forms

from fund.forms import BookForm
from jobs.eligibility.forms import TIES, DecideForm
from jobs.eligibility.rules_facts import Finding

WORDS = forms.Textarea(attrs={"rows": 4})


class TieForm(BookForm):
    """The relation question, first on every form by which someone shapes a decision."""

    tie = forms.ChoiceField(
        label=DecideForm.base_fields["tie"].label,
        choices=list(TIES.items()),
        widget=forms.RadioSelect,
        help_text="Asked of both who make an exception, and kept. With a tie, someone else does this.",
    )
    tie_words = forms.CharField(label="If yes: how?", max_length=300, required=False)

    def answers(self, cleaned: dict[str, Any]) -> dict[str, Any]:
        """What the actions take: a yes as True. Call after ``is_valid``."""
        return {**cleaned, "tie": cleaned["tie"] == "yes"}


class ExceptionForm(TieForm):
    """One failing rule that may give way, and why."""

    rule = forms.ChoiceField(label="Which rule should give way", widget=forms.RadioSelect)
    reason = forms.CharField(
        label="Why",
        widget=WORDS,
        help_text="Kept with the decision. A second person reads it and says yes or no.",
    )

    def __init__(self, *args: Any, failing: list[Finding], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["rule"].choices = [(row.rule, row.words) for row in failing]  # type: ignore[attr-defined]


class AnswerForm(TieForm):
    agreed = forms.ChoiceField(
        label="Should the rule give way?",
        choices=[("yes", "Yes, I agree."), ("no", "No.")],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose one."},
    )
    words = forms.CharField(label="If not: why", required=False, widget=WORDS)

    def answers(self, cleaned: dict[str, Any]) -> dict[str, Any]:
        return {**super().answers(cleaned), "agreed": cleaned["agreed"] == "yes"}


class AppealForm(BookForm):
    words = forms.CharField(
        label="What should be looked at again, in the household's own words",
        widget=WORDS,
        help_text="Someone who did not decide before looks at it.",
    )


class TableFileForm(BookForm):
    file = forms.FileField(
        label="File of income tables (CSV)",
        help_text="Columns: year, area, size_1 to size_8, each_more, in_use_from, source; line for another line than the "
        "poverty guideline. Dollars a year.",
    )
