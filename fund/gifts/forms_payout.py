"""Forms of the payout upload and of layouts."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from fund.forms import BookForm
from fund.gifts.models import Layout, Platform
from fund.gifts.rules import PLATFORM_KINDS
from fund.gifts.rules_layout import (
    DATE_ORDERS,
    DECIMAL_MARKS,
    DELIMITERS,
    ENCODINGS,
    FEE_KINDS,
    FIELDS,
    NEEDED,
    ROW_KINDS,
    SIGNS,
    LayoutSpec,
)
from fund.gifts.rules_reading import MAX_BYTES, size_sentence


class UploadForm(BookForm):
    layout = forms.ModelChoiceField(label="Layout", queryset=Layout.objects.all(), empty_label=None)
    file = forms.FileField(
        label="The platform's payout file",
        help_text="CSV, up to 10 MB. It is read and shown row by row before anything is posted.",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,text/csv,text/plain"}),
    )

    def clean_file(self) -> UploadedFile:
        upload: UploadedFile = self.cleaned_data["file"]
        if (upload.size or 0) > MAX_BYTES:
            raise ValidationError(size_sentence(upload.size or 0))
        return upload


class PlatformForm(BookForm):
    name = forms.CharField(label="Name of the platform", max_length=60)
    code = forms.SlugField(label="Short name", max_length=30, help_text="Small letters, digits and dashes.")
    kind = forms.ChoiceField(
        label="Kind", choices=[(key, words.capitalize()) for key, words in PLATFORM_KINDS.items()]
    )


class PairsField(forms.CharField):
    """Several lines of ``words = meaning``, one a line, that give a dict of text to text."""

    widget = forms.Textarea(attrs={"rows": 4})

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value) or ""
        found: dict[str, str] = {}
        for line in text.splitlines():
            if not line.strip():
                continue
            left, mark, right = line.rpartition("=")
            if not mark or not left.strip() or not right.strip():
                raise ValidationError(f"“{line.strip()[:60]}” is not of the form: word = meaning.")
            if left.strip() in found:
                raise ValidationError(f"“{left.strip()[:60]}” stands twice.")
            found[left.strip()] = right.strip()
        return found

    def prepare_value(self, value: Any) -> Any:
        return (
            "\n".join(f"{left} = {right}" for left, right in value.items())
            if isinstance(value, dict)
            else value
        )


class WordsField(forms.CharField):
    """Words divided by commas, as a tuple."""

    def to_python(self, value: Any) -> Any:
        return tuple(word.strip() for word in (super().to_python(value) or "").split(",") if word.strip())

    def prepare_value(self, value: Any) -> Any:
        return ", ".join(value) if isinstance(value, (tuple, list)) else value


def _choices(told: dict[str, str]) -> list[tuple[str, str]]:
    return list(told.items())


class LayoutForm(BookForm):
    """A layout on one page: the header of each column, and what the words in them mean."""

    name = forms.SlugField(
        label="Name of the layout", max_length=40, help_text="Small letters, digits and dashes."
    )
    platform = forms.ModelChoiceField(label="Platform", queryset=Platform.objects.all(), empty_label=None)
    fees = PairsField(
        label="Fee columns",
        required=False,
        help_text=f"One a line: header = {' or '.join(FEE_KINDS)}.",
    )
    words = PairsField(
        label="Words in the kind column",
        widget=forms.Textarea(attrs={"rows": 8}),
        help_text="One a line: word = " + ", ".join(ROW_KINDS) + ".",
    )
    purposes = PairsField(
        label="Words in the purpose column",
        required=False,
        help_text="One a line: word = code of the purpose.",
    )
    hidden_words = WordsField(
        label="Words that mean: stay unnamed", required=False, help_text="Divided by commas."
    )
    ignored = WordsField(
        label="Columns that carry nothing for the books",
        required=False,
        help_text="Headers divided by commas.",
    )
    signs = forms.ChoiceField(label="How amounts are signed", choices=_choices(SIGNS))
    date_order = forms.ChoiceField(label="Dates are written", choices=_choices(DATE_ORDERS))
    decimal_mark = forms.ChoiceField(label="Decimal mark", choices=_choices(DECIMAL_MARKS))
    delimiter = forms.ChoiceField(label="Cells are divided by", choices=_choices(DELIMITERS))
    encoding = forms.ChoiceField(label="Encoding", choices=_choices(ENCODINGS))
    home_currency = forms.CharField(
        label="Our own currency",
        max_length=3,
        min_length=3,
        initial="USD",
        widget=forms.TextInput(attrs={"class": "short"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        headers = {
            f"column_{field}": forms.CharField(label=words, required=field in NEEDED, max_length=80)
            for field, words in FIELDS.items()
        }
        rest = [name for name in self.fields if name not in ("name", "platform")]
        self.fields.update(headers)
        self.order_fields(["name", "platform", *headers, *rest])

    def spec(self) -> LayoutSpec:
        told = dict(self.cleaned_data)
        told.pop("platform")
        columns = {field: told.pop(f"column_{field}") for field in FIELDS}
        return LayoutSpec(columns={field: header for field, header in columns.items() if header}, **told)

    def columns(self) -> list[forms.BoundField]:
        return [self[f"column_{field}"] for field in FIELDS]

    def meanings(self) -> list[forms.BoundField]:
        return [self[name] for name in ("fees", "words", "purposes", "hidden_words", "ignored")]

    def writing(self) -> list[forms.BoundField]:
        return [
            self[name] for name in ("date_order", "decimal_mark", "delimiter", "encoding", "home_currency")
        ]

    @staticmethod
    def initial_of(layout: Layout) -> dict[str, Any]:
        spec = layout.spec
        told = {name: getattr(spec, name) for name in LayoutSpec.__dataclass_fields__ if name != "columns"}
        columns = {f"column_{field}": header for field, header in spec.columns.items()}
        return {**told, **columns, "platform": layout.platform_id}
