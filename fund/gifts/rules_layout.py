"""A layout: how one platform writes its payout file. Plain data, checked before it is saved."""

import codecs
from collections.abc import Mapping
from dataclasses import dataclass

from fund.gifts.rules import CHARGEBACK, DISPUTE_WON, REFUND, REFUND_FAILED
from fund.refusal import BadInput

GIFT, FEE, FEE_BACK, PAYOUT, SKIP = "gift", "fee", "fee back", "payout", "skip"
DISPUTE_FEE, DISPUTE_FEE_BACK, DISPUTE_LOST, DECLINED = (
    "dispute fee",
    "dispute fee back",
    "dispute lost",
    "declined",
)
ROW_KINDS = {
    GIFT: "a gift",
    REFUND: "a refund",
    REFUND_FAILED: "a refund that did not arrive and came back",
    CHARGEBACK: "a chargeback: money taken while a dispute is open",
    DISPUTE_WON: "a dispute that was won: the money came back",
    DISPUTE_LOST: "a dispute that was lost for good",
    FEE: "a fee of its own row",
    FEE_BACK: "a fee given back",
    DISPUTE_FEE: "the fee for a dispute, in a row of its own",
    DISPUTE_FEE_BACK: "a dispute's fee given back",
    PAYOUT: "the payout to the bank",
    DECLINED: "a card that was declined and is tried again",
    SKIP: "no money moved",
}
RETURNS = (REFUND, CHARGEBACK, DISPUTE_LOST)
BACK_AGAIN = (DISPUTE_WON, REFUND_FAILED)
FEES = (FEE, FEE_BACK, DISPUTE_FEE, DISPUTE_FEE_BACK)

# What a file may tell about a row. The first four must be there.
FIELDS = {
    "ref": "Transaction id",
    "date": "Date",
    "type": "Kind of row",
    "amount": "Amount",
    "payout": "Payout id",
    "net": "Net after fees",
    "gift_ref": "Gift that a refund belongs to",
    "supporter_id": "Supporter id",
    "name": "Supporter name",
    "email": "Supporter e-mail",
    "hidden": "Wants to stay unnamed",
    "purpose": "Purpose",
    "currency": "Currency the supporter paid in",
    "foreign": "Amount in that currency",
    "rate": "Rate of that day",
}
NEEDED = ("ref", "date", "type", "amount")
PLATFORM_FEE, PROCESSING_FEE = "platform", "processing"
FEE_KINDS = (PLATFORM_FEE, PROCESSING_FEE)
DATE_ORDERS = {
    "YMD": "year, month, day (2026-03-14)",
    "MDY": "month, day, year (03/14/2026)",
    "DMY": "day, month, year (14.03.2026)",
}
DECIMAL_MARKS = {".": "point: 1,184.00", ",": "comma: 1.184,00"}
DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
ENCODINGS = {
    "utf-8": "UTF-8",
    "cp1252": "Windows Western (cp1252)",
    "latin-1": "ISO Latin 1",
    "utf-16": "UTF-16",
}
PLAIN, BALANCE = "plain", "balance"
SIGNS = {
    PLAIN: "every amount is positive; the kind of row says which way it went",
    BALANCE: "movements of the platform's balance: refunds, fees and payouts are negative",
}


@dataclass(frozen=True)
class LayoutSpec:
    """One layout. `columns` maps a field to the header in the file; `fees` maps a header to platform or
    processing; `words` maps a word of the kind column to a row kind; `purposes` maps a word of the purpose
    column to a purpose code. Words are compared without regard to case."""

    name: str
    columns: Mapping[str, str]
    fees: Mapping[str, str]
    words: Mapping[str, str]
    purposes: Mapping[str, str]
    ignored: tuple[str, ...] = ()
    hidden_words: tuple[str, ...] = ("yes", "true", "1", "private")
    date_order: str = "YMD"
    decimal_mark: str = "."
    delimiter: str = ","
    encoding: str = "utf-8"
    signs: str = PLAIN
    home_currency: str = "USD"

    @property
    def headers(self) -> list[str]:
        return [*self.columns.values(), *self.fees]

    def by_word(self) -> dict[str, str]:
        return {word.strip().casefold(): kind for word, kind in self.words.items()}

    def by_purpose(self) -> dict[str, str]:
        return {word.strip().casefold(): code for word, code in self.purposes.items()}


def check_layout(spec: LayoutSpec) -> None:
    """Refuse a layout that cannot read a file, with every reason at once."""
    wrong = [
        f"Name the column that holds: {FIELDS[field].lower()}."
        for field in NEEDED
        if not spec.columns.get(field)
    ]
    wrong += [
        f"“{field}” is not something a layout can read." for field in spec.columns if field not in FIELDS
    ]
    headers = spec.headers + list(spec.ignored)
    doubled = sorted({header for header in headers if headers.count(header) > 1})
    wrong += [f"The column “{header}” is named twice." for header in doubled]
    wrong += [
        f"The fee column “{h}” is neither platform nor processing."
        for h, k in spec.fees.items()
        if k not in FEE_KINDS
    ]
    wrong += [f"“{word}” cannot mean “{kind}”." for word, kind in spec.words.items() if kind not in ROW_KINDS]
    for kind in (GIFT, PAYOUT):
        if kind not in spec.words.values():
            wrong.append(f"Give at least one word that marks {ROW_KINDS[kind]}.")
    if spec.columns.get("currency") and not spec.columns.get("foreign"):
        wrong.append("A file that names currencies also needs the column with the amount in that currency.")
    if not (len(spec.home_currency) == 3 and spec.home_currency.isalpha() and spec.home_currency.isupper()):
        wrong.append("Write our own currency as three capital letters, like USD.")
    wrong += _wrong_choice("date order", spec.date_order, DATE_ORDERS)
    wrong += _wrong_choice("decimal mark", spec.decimal_mark, DECIMAL_MARKS)
    wrong += _wrong_choice("delimiter", spec.delimiter, DELIMITERS)
    wrong += _wrong_choice("way of signs", spec.signs, SIGNS)
    try:
        codecs.lookup(spec.encoding)
    except LookupError:
        wrong.append(f"“{spec.encoding}” is not an encoding.")
    if spec.decimal_mark == spec.delimiter:
        wrong.append("The decimal mark and the delimiter cannot both be a comma.")
    if wrong:
        raise BadInput("The layout cannot be used yet.", wrong)


def _wrong_choice(what: str, value: str, choices: Mapping[str, str]) -> list[str]:
    return [] if value in choices else [f"“{value}” is not a {what}."]
