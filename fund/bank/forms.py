"""Forms of the bank's room."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from fund.bank.actions import Piece
from fund.bank.models import StatementLayout, StatementLine
from fund.bank.queries_open import BookItem
from fund.bank.rules_csv import DATE_ORDERS, DECIMAL_MARKS, DELIMITERS, ENCODINGS, FIELDS, SIGNS, CsvSpec
from fund.bank.rules_posting import kinds_for
from fund.bank.rules_reading import MAX_BYTES, size_sentence
from fund.bank.rules_reconciling import OLD_DAYS, Item
from fund.forms import BookForm, MoneyFormField, MonthField
from fund.gifts.forms_payout import WordsField
from fund.ledger.models import Entry
from fund.money import Money

MOST_MISTAKES = 20  # lines offered as the bank's mistake; nobody has more


class UploadForm(BookForm):
    file = forms.FileField(
        label="The bank's statement",
        help_text="OFX, camt.053 or CSV, up to 20 MB. Lines that are here already are not stored twice.",
        widget=forms.ClearableFileInput(attrs={"accept": ".ofx,.qfx,.qbo,.xml,.csv,.txt"}),
    )
    layout = forms.ModelChoiceField(
        label="Layout, for a CSV",
        queryset=StatementLayout.objects.all(),
        required=False,
        empty_label="it is OFX or camt.053",
    )
    opening = MoneyFormField(
        label="Opening balance",
        required=False,
        lowest=None,
        help_text="Only where the file does not tell it.",
    )
    closing = MoneyFormField(
        label="Closing balance",
        required=False,
        lowest=None,
        help_text="Only where the file does not tell it.",
    )

    def clean_file(self) -> UploadedFile:
        upload: UploadedFile = self.cleaned_data["file"]
        if (upload.size or 0) > MAX_BYTES:
            raise ValidationError(size_sentence(upload.size or 0))
        return upload


class SettleForm(BookForm):
    """What a line of the bank is: entries of the books, pieces to be posted now, or both."""

    entries = forms.MultipleChoiceField(
        label="Entries of the books that this line is", widget=forms.CheckboxSelectMultiple, required=False
    )
    kind = forms.ChoiceField(label="What the rest of the line is", required=False)
    amount = MoneyFormField(
        label="How much of it",
        required=False,
        lowest=None,
        help_text="Left empty: what the entries above leave open.",
    )
    text = forms.CharField(label="Words for the entry", required=False, max_length=200)

    def __init__(self, line: StatementLine, items: list[BookItem], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.line, self.items = line, {str(item.number): item for item in items}
        entries, kind = self.fields["entries"], self.fields["kind"]
        assert isinstance(entries, forms.MultipleChoiceField)
        assert isinstance(kind, forms.ChoiceField)
        entries.choices = [
            (number, f"{item.amount} {item.text}, {item.on}, entry {number}")
            for number, item in self.items.items()
        ]
        kind.choices = [("", "nothing else"), *kinds_for(line.amount)]
        if not items:
            del self.fields["entries"]

    def chosen(self) -> list[Entry]:
        return list(Entry.objects.filter(number__in=self.cleaned_data.get("entries", [])))

    def pieces(self) -> list[Piece]:
        told = self.cleaned_data
        if not told["kind"]:
            return []
        amount: Money | None = told["amount"]
        if amount is None:
            taken = sum((self.items[number].amount for number in told.get("entries", [])), Money.zero)
            amount = self.line.amount - taken
        return [Piece(told["kind"], amount, told["text"])]


class ReasonForm(BookForm):
    reason = forms.CharField(label="Why the match is undone", max_length=300)


class PrepareForm(BookForm):
    """The closing balance from the paper, a word for each old item and each mistake of the bank."""

    statement_balance = MoneyFormField(
        label="Closing balance on the statement",
        lowest=None,
        help_text="Read it from the bank's own statement.",
    )

    def __init__(self, items: list[Item], lines: list[StatementLine], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for item in items:
            if item.age > OLD_DAYS:
                self.fields[f"note-{item.key}"] = forms.CharField(
                    label=f"{item.label} of {item.on}, {item.amount}: {item.age} days",
                    required=False,
                    max_length=300,
                    help_text=item.advice,
                    initial=item.note,
                )
        for line in lines[:MOST_MISTAKES]:
            self.fields[f"error-{line.pk}"] = forms.CharField(
                label=f"Line of {line.on} over {line.amount}: what was done about it",
                required=False,
                max_length=300,
            )

    def note_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name.startswith("note-")]

    def error_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name.startswith("error-")]

    def has_errors_told(self) -> bool:
        return any(field.value() for field in self.error_fields())

    def notes(self) -> dict[str, str]:
        return {
            name[5:]: words for name, words in self.cleaned_data.items() if name.startswith("note-") and words
        }

    def bank_errors(self) -> dict[int, str]:
        return {
            int(name[6:]): words
            for name, words in self.cleaned_data.items()
            if name.startswith("error-") and words
        }


class ReviewForm(BookForm):
    note = forms.CharField(
        label="Note", required=False, max_length=300, help_text="What you looked at, if you want to say it."
    )


class PlatformBalanceForm(BookForm):
    month = MonthField(label="Month")
    amount = MoneyFormField(
        label="What the platform says it holds at the end of the month",
        lowest=None,
        required=False,
        help_text="Read it from the platform's own account page. 0.00 if all was paid out.",
    )
    note = forms.CharField(label="Where it was read", required=False, max_length=200)
    file = forms.FileField(
        label="Or its own list of movements",
        required=False,
        help_text="A CSV with a balance after each line. The balance at the end of the month is read from it.",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.ofx,.xml,text/csv,text/plain"}),
    )
    layout = forms.ModelChoiceField(
        label="Layout that reads it",
        queryset=StatementLayout.objects.all(),
        required=False,
        empty_label="none, it is OFX or camt.053",
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "amount" in cleaned and cleaned["amount"] is None and not cleaned.get("file"):
            self.add_error("amount", "Write the balance, or choose the file to read it from.")
        elif cleaned.get("amount") is not None and cleaned.get("file"):
            self.add_error("file", "Either the balance or the file: one of the two is enough.")
        return cleaned


class LayoutForm(BookForm):
    """A layout on one page: the header of each column, and how the file is written."""

    name = forms.SlugField(
        label="Name of the layout", max_length=40, help_text="Small letters, digits and dashes."
    )
    signs = forms.ChoiceField(label="How money in and out are told apart", choices=list(SIGNS.items()))
    out_words = WordsField(
        label="Words that mean money out", required=False, help_text="With a mark. Divided by commas."
    )
    date_order = forms.ChoiceField(label="Dates are written", choices=list(DATE_ORDERS.items()))
    decimal_mark = forms.ChoiceField(label="Decimal mark", choices=list(DECIMAL_MARKS.items()))
    delimiter = forms.ChoiceField(label="Cells are divided by", choices=list(DELIMITERS.items()))
    encoding = forms.ChoiceField(label="Encoding", choices=list(ENCODINGS.items()))
    lines_before = forms.IntegerField(label="Lines before the header", min_value=0, max_value=100, initial=0)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        headers = {
            f"column_{field}": forms.CharField(
                label=words, required=field in ("date", "amount"), max_length=80
            )
            for field, words in FIELDS.items()
        }
        rest = [name for name in self.fields if name != "name"]
        self.fields.update(headers)
        self.order_fields(["name", *headers, *rest])

    def spec(self) -> CsvSpec:
        told = dict(self.cleaned_data)
        columns = {field: told.pop(f"column_{field}") for field in FIELDS}
        return CsvSpec(columns={field: header for field, header in columns.items() if header}, **told)

    def columns(self) -> list[forms.BoundField]:
        return [self[f"column_{field}"] for field in FIELDS]

    def writing(self) -> list[forms.BoundField]:
        return [
            self[name] for name in ("date_order", "decimal_mark", "delimiter", "encoding", "lines_before")
        ]

    @staticmethod
    def initial_of(layout: StatementLayout) -> dict[str, Any]:
        spec = layout.spec
        told = {name: getattr(spec, name) for name in CsvSpec.__dataclass_fields__ if name != "columns"}
        return told | {f"column_{field}": header for field, header in spec.columns.items()}
