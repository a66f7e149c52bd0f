"""One row of a payout file, from cells of text to typed values. No database, no clock."""

import re
from datetime import date
from typing import NamedTuple

from fund.gifts.rules import GENERAL
from fund.gifts.rules_exchange import read_rate
from fund.gifts.rules_layout import (
    BACK_AGAIN,
    BALANCE,
    DECLINED,
    DISPUTE_FEE,
    FEE,
    GIFT,
    PAYOUT,
    PLATFORM_FEE,
    RETURNS,
    SKIP,
    LayoutSpec,
)
from fund.money import Money, parse_money
from fund.refusal import BadInput

EARLIEST = date(2000, 1, 1)
_DATE = re.compile(r"(\d{1,4})[-/.](\d{1,2})[-/.](\d{1,4})(?:[T ].*)?")
_TIME = re.compile(r".*[T ](\d{1,2}):(\d{2})(?::(\d{2}))?.*")
_NEGATIVE_IN_BALANCE = (*RETURNS, FEE, DISPUTE_FEE, PAYOUT)


class FileRow(NamedTuple):
    """One row that moved money. `amount` is positive whichever way it went, except a payout that was taken back.

    A row in another currency holds its amount there (`foreign`, in hundredths), the rate in millionths (0: the file
    says none) and `exchange`: what `amount`, valued at the rate of its day, lost when the platform turned it into ours.
    `second` is the second of the day, -1 when the file tells none.
    """

    row: int
    kind: str
    ref: str
    on: date
    amount: Money
    platform_fee: Money = Money.zero
    processing_fee: Money = Money.zero
    payout: str = ""
    gift_ref: str = ""
    supporter_id: str = ""
    name: str = ""
    email: str = ""
    hidden: bool = False
    purpose: str = GENERAL
    currency: str = ""
    foreign: Money = Money.zero
    rate: int = 0
    exchange: Money = Money.zero
    second: int = -1

    @property
    def moved(self) -> Money:
        """What the platform's balance moved by, fees apart: a foreign gift brings less than it was worth."""
        comes_in = self.kind == GIFT or self.kind in BACK_AGAIN
        return self.amount - self.exchange if comes_in else self.amount + self.exchange

    @property
    def fees(self) -> Money:
        return self.platform_fee + self.processing_fee


class Problem(NamedTuple):
    row: int
    column: str
    reason: str

    @property
    def sentence(self) -> str:
        where = f"Row {self.row}, column “{self.column}”" if self.column else f"Row {self.row}"
        return f"{where}: {self.reason}"


class RowProblem(Exception):
    def __init__(self, column: str, reason: str) -> None:
        super().__init__(reason)
        self.column, self.reason = column, reason


class RowParser:
    """Reads cells into a FileRow; remembers texts it has parsed, since dates and tiers repeat by the thousand."""

    def __init__(self, header: list[str], layout: LayoutSpec, today: date, earliest: date = EARLIEST) -> None:
        place = {name: index for index, name in enumerate(header)}
        self.width = len(header)
        self.layout, self.today, self.earliest = layout, today, earliest
        self.at = {field: place[name] for field, name in layout.columns.items()}
        self.fees = [(name, place[name], kind) for name, kind in layout.fees.items()]
        self.words, self.purposes = layout.by_word(), layout.by_purpose()
        self.hidden = {word.casefold() for word in layout.hidden_words}
        self.moneys: dict[str, Money] = {}
        self.dates: dict[str, date] = {}

    def read(self, number: int, cells: list[str]) -> FileRow | None:
        if len(cells) != self.width:
            raise RowProblem("", f"has {len(cells)} cells where the header has {self.width}.")
        column = self.layout.columns
        word = self._text(cells, "type")
        kind = self.words.get(word.casefold())
        if kind is None:
            raise RowProblem(column["type"], f"“{word[:40]}” is not a kind of row that the layout knows.")
        if kind == SKIP:
            return None
        if kind == DECLINED:
            return self._declined(number, cells)
        ref = self._text(cells, "ref")
        if not ref or len(ref) > 80:
            raise RowProblem(
                column["ref"], "is too long." if ref else "is empty; every row needs its own id."
            )
        platform_fee, processing_fee = self._fees(cells, kind)
        amount = self._amount(cells, kind)
        self._check_net(cells, kind, amount, platform_fee + processing_fee)
        return FileRow(
            number,
            kind,
            ref,
            self._date(cells),
            amount,
            platform_fee,
            processing_fee,
            self._text(cells, "payout") or (ref if kind == PAYOUT else ""),
            self._text(cells, "gift_ref"),
            self._text(cells, "supporter_id")[:80],
            self._text(cells, "name")[:120],
            self._text(cells, "email")[:254].lower(),
            self._text(cells, "hidden").casefold() in self.hidden,
            self._purpose(cells),
            *self._foreign(cells),
            second=self._second(cells),
        )

    def _declined(self, number: int, cells: list[str]) -> FileRow:
        """A card that could not be charged: who and when, whatever the amount column says."""
        ref, who = self._text(cells, "ref")[:80], self._text(cells, "supporter_id")[:80]
        email = self._text(cells, "email")[:254].lower()
        return FileRow(number, DECLINED, ref, self._date(cells), Money.zero, supporter_id=who, email=email)

    def _foreign(self, cells: list[str]) -> tuple[str, Money, int]:
        currency = self._text(cells, "currency").upper() if "currency" in self.at else ""
        if currency in ("", self.layout.home_currency):
            return "", Money.zero, 0
        columns = self.layout.columns
        if not (len(currency) == 3 and currency.isascii() and currency.isalpha()):
            raise RowProblem(columns["currency"], f"“{currency[:10]}” is not a currency of three letters.")
        text = self._text(cells, "foreign")
        # A fee in a foreign row is in our money; only gifts and what goes back of them have an amount there.
        foreign = abs(self._money(text, columns["foreign"])) if text else Money.zero
        rate = self._text(cells, "rate")
        try:
            return currency, foreign, read_rate(rate, self.layout.decimal_mark) if rate else 0
        except BadInput as refusal:
            raise RowProblem(columns["rate"], refusal.sentence) from refusal

    def _second(self, cells: list[str]) -> int:
        text = self._text(cells, "date")
        match = _TIME.fullmatch(text) if len(text) > 10 else None
        if not match:
            return -1
        hour, minute, second = (int(part or 0) for part in match.groups())
        return hour * 3600 + minute * 60 + second

    def _text(self, cells: list[str], field: str) -> str:
        index = self.at.get(field)
        return "" if index is None else cells[index].strip()

    def _money(self, text: str, column: str) -> Money:
        money = self.moneys.get(text)
        if money is None:
            try:
                money = parse_money(text, self.layout.decimal_mark)
            except BadInput as refusal:
                raise RowProblem(column, refusal.sentence) from refusal
            self.moneys[text] = money
        return money

    def _fees(self, cells: list[str], kind: str) -> tuple[Money, Money]:
        platform = processing = 0
        for name, index, side in self.fees:
            text = cells[index].strip()
            if not text:
                continue
            fee = self._money(text, name).minor
            if fee < 0:
                raise RowProblem(
                    name, f"the fee {Money(fee)} is negative. A fee given back needs a row of its own."
                )
            if fee and kind != GIFT and kind not in RETURNS:
                raise RowProblem(name, "only a gift, a refund or a chargeback can carry a fee.")
            if side == PLATFORM_FEE:
                platform += fee
            else:
                processing += fee
        return Money(platform), Money(processing)

    def _amount(self, cells: list[str], kind: str) -> Money:
        column = self.layout.columns["amount"]
        amount = self._money(self._text(cells, "amount"), column)
        if self.layout.signs == BALANCE and kind in _NEGATIVE_IN_BALANCE:
            amount = -amount
        if kind == PAYOUT:
            return amount
        if amount.minor <= 0:
            name = {GIFT: "A gift"}.get(kind, f"A {kind}")
            way = (
                "be negative here"
                if self.layout.signs == BALANCE and kind in _NEGATIVE_IN_BALANCE
                else "be more than zero"
            )
            raise RowProblem(column, f"{name} must {way}, not {self._text(cells, 'amount')}.")
        return amount

    def _check_net(self, cells: list[str], kind: str, amount: Money, fees: Money) -> None:
        text = self._text(cells, "net")
        if kind != GIFT or not text:
            return
        column = self.layout.columns["net"]
        net = self._money(text, column)
        if net != amount - fees:
            raise RowProblem(column, f"{amount} less {fees} fees is {amount - fees}, the file says {net}.")

    def _date(self, cells: list[str]) -> date:
        text, column = self._text(cells, "date"), self.layout.columns["date"]
        day = self.dates.get(text)
        if day is None:
            day = parse_day(text, self.layout.date_order)
            if day is None:
                raise RowProblem(
                    column, f"“{text[:40]}” is not a date in the order {self.layout.date_order}."
                )
            if day > self.today:
                raise RowProblem(column, f"{day} is after today.")
            if day < self.earliest:
                raise RowProblem(
                    column,
                    f"{day} is before {self.earliest}, the first day that these books take. Export a later period.",
                )
            self.dates[text] = day
        return day

    def _purpose(self, cells: list[str]) -> str:
        text = self._text(cells, "purpose")
        if not text:
            return GENERAL
        code = self.purposes.get(text.casefold())
        if code is None:
            raise RowProblem(
                self.layout.columns["purpose"], f"“{text[:40]}” is not a purpose that the layout knows."
            )
        return code


def parse_day(text: str, order: str) -> date | None:
    """A date written with digits and one of - / . in the given order (YMD, MDY, DMY); a time after it is left out."""
    match = _DATE.fullmatch(text)
    if not match:
        return None
    parts = dict(zip(order, match.groups(), strict=True))
    if len(parts["Y"]) != 4 or len(parts["M"]) > 2 or len(parts["D"]) > 2:
        return None
    try:
        return date(int(parts["Y"]), int(parts["M"]), int(parts["D"]))
    except ValueError:
        return None
