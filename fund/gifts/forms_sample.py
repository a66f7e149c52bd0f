"""The form that makes a layout from a file: one choice for each column, one for each word."""

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from fund.forms import BookForm
from fund.gifts.models import Platform
from fund.gifts.rules_guess import Guess, Sample, guess, guessed_words, spec_of, words_of
from fund.gifts.rules_layout import (
    DATE_ORDERS,
    DECIMAL_MARKS,
    FEE_KINDS,
    FIELDS,
    ROW_KINDS,
    SIGNS,
    LayoutSpec,
)
from fund.ledger.models import Purpose

NOTHING = ""
BROAD = {"class": "broad"}
FEE_LABELS = {"platform": "Fee: the platform's share", "processing": "Fee: processing of the payment"}
HOLDS = [(NOTHING, "nothing for the books"), *FIELDS.items()]
HOLDS += [(f"fee:{kind}", FEE_LABELS[kind]) for kind in FEE_KINDS]


class SampleUploadForm(BookForm):
    file = forms.FileField(
        label="A payout file of the platform",
        help_text="CSV, up to 10 MB. It is only read; nothing is posted before you have seen every row.",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,text/csv,text/plain"}),
    )

    def clean_file(self) -> UploadedFile:
        upload: UploadedFile = self.cleaned_data["file"]
        return upload


class SampleForm(BookForm):
    """`sample` is the file cut into cells. What is not told yet is guessed by header and content."""

    name = forms.SlugField(
        label="Name of the layout", max_length=40, help_text="Small letters, digits and dashes."
    )
    platform = forms.ModelChoiceField(label="Platform", queryset=Platform.objects.all(), empty_label=None)
    date_order = forms.ChoiceField(label="Dates are written", choices=list(DATE_ORDERS.items()))
    decimal_mark = forms.ChoiceField(label="Decimal mark", choices=list(DECIMAL_MARKS.items()))
    signs = forms.ChoiceField(label="How amounts are signed", choices=list(SIGNS.items()))
    home_currency = forms.CharField(
        label="Our own currency",
        max_length=3,
        min_length=3,
        initial="USD",
        widget=forms.TextInput(attrs={"class": "short"}),
    )

    def __init__(self, sample: Sample, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.sample, self.made = sample, guess(sample)
        for name in ("date_order", "decimal_mark", "signs"):
            self.fields[name].initial = getattr(self.made, name)
        for index, header in enumerate(sample.header):
            self.fields[f"column_{index}"] = forms.ChoiceField(
                label=header,
                choices=HOLDS,
                required=False,
                initial=self._guessed(index),
                help_text=self._some(index),
                widget=forms.Select(BROAD),
            )
        self._add_words("type", "word", list(ROW_KINDS.items()))
        purposes = [(code, name) for code, name in Purpose.objects.values_list("code", "name")]
        self._add_words("purpose", "purpose", purposes)

    def _guessed(self, index: int) -> str:
        fee = self.made.fees.get(index)
        return f"fee:{fee}" if fee else self.made.columns.get(index, NOTHING)

    def _some(self, index: int) -> str:
        few = [cell for cell in self.sample.column(index) if cell][:3]
        return "like " + ", ".join(cell[:30] for cell in few) if few else "always empty"

    def holds(self) -> dict[int, str]:
        """What each column holds as the form stands now, told or guessed."""
        told = {}
        for index in range(len(self.sample.header)):
            value = self[f"column_{index}"].value()
            told[index] = str(value or NOTHING)
        return told

    def _column(self, what: str) -> int | None:
        return next((index for index, held in self.holds().items() if held == what), None)

    def _add_words(self, what: str, prefix: str, choices: list[tuple[str, str]]) -> None:
        """One choice for each word of the column that holds ``what``. Named by column, so that another column asks anew."""
        index = self._column(what)
        self.words = {**getattr(self, "words", {}), prefix: {}}
        if index is None:
            return
        words = words_of(self.sample, index)
        likely = guessed_words(words) if prefix == "word" else {word: word.casefold() for word in words}
        for at, word in enumerate(words):
            name = f"{prefix}_{index}_{at}"
            codes = [code for code, _ in choices]
            first = likely[word] if likely[word] in codes else ("general" if prefix == "purpose" else "")
            self.fields[name] = forms.ChoiceField(
                label=word,
                choices=[("", "not told yet"), *choices],
                required=False,
                initial=first,
                widget=forms.Select(BROAD),
            )
            self.words[prefix][name] = word

    def _told(self, prefix: str) -> dict[str, str]:
        """What each word means: as chosen, or as guessed where the form was sent before it asked."""
        told = {}
        for name, word in self.words[prefix].items():
            sent = self.data.get(name) if self.is_bound else None
            value = sent if sent is not None else self.fields[name].initial
            if value:
                told[word] = str(value)
        return told

    def spec(self) -> LayoutSpec:
        """The layout as the form stands now; whether it can be used is for the action to say."""
        held = self.holds()
        columns = {index: what for index, what in held.items() if what and not what.startswith("fee:")}
        return spec_of(
            self.sample,
            str(self["name"].value() or "new"),
            columns,
            {index: what.removeprefix("fee:") for index, what in held.items() if what.startswith("fee:")},
            words=self._told("word"),
            purposes=self._told("purpose"),
            hidden_words=self.made.hidden_words,
            date_order=str(self["date_order"].value()),
            decimal_mark=str(self["decimal_mark"].value()),
            signs=str(self["signs"].value()),
            home_currency=str(self["home_currency"].value() or "USD").upper(),
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        seen: dict[str, int] = {}
        for index, what in self.holds().items():
            if what and not what.startswith("fee:") and what in seen:
                other = self.sample.header[seen[what]]
                self.add_error(f"column_{index}", f"“{other}” holds that already; only one column can.")
            seen.setdefault(what, index)
        return cleaned

    def columns(self) -> list[forms.BoundField]:
        return [self[f"column_{index}"] for index in range(len(self.sample.header))]

    def kinds(self) -> list[forms.BoundField]:
        return [self[name] for name in self.words["word"]]

    def purposes(self) -> list[forms.BoundField]:
        return [self[name] for name in self.words["purpose"]]

    def writing(self) -> list[forms.BoundField]:
        return [self[name] for name in ("decimal_mark", "home_currency")]


__all__ = ["Guess", "SampleForm", "SampleUploadForm"]
