"""The words of a letter, from the facts of its gifts. Pure; the outcome is kept with the letter as JSON values.

What an acknowledgment must hold: name of the fund, amount of money, description (not value) of goods, and either that
nothing was given in return or a description and good-faith value of what was (irs.gov, Charitable contributions:
written acknowledgments; IRS Publication 1771, Rev. March 2016). Date and signature are common practice.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from fund.letters.rules import GiftFacts, gift_parts, money_given
from fund.money import Money
from fund.refusal import BadInput

GIFT, YEAR = "gift", "year"
SOURCE = (
    "The statements follow IRS Publication 1771 (Rev. March 2016) and the IRS page on written acknowledgments, "
    "as read for this program in 2026. "
)
ADVISER = "Whether and how much you may deduct depends on your own taxes; please ask your tax adviser."
OWN_VALUE = (
    "We describe what you gave and put no value on it: its value is yours to establish. Above $500 the IRS asks "
    "for Form 8283."
)
CONTROL = (
    "The fund has full control over the use of its gifts; none is passed on to a person whom a giver chose."
)
NOTHING_BACK = "We gave you no goods or services in return."


@dataclass(frozen=True, slots=True)
class Sender:
    """Who writes: the fund as its rules name it on the day, and the person who signs."""

    fund: str
    town: str
    tax_id: str
    signed_by: str


@dataclass(frozen=True, slots=True)
class Earlier:
    """A letter that spoke of a gift before: its number, its day, whether it is void, and the codes it shares."""

    number: int
    on: date
    void: bool
    codes: tuple[str, ...]


def long_day(day: date) -> str:
    """March 12, 2026."""
    return f"{day:%B} {day.day}, {day.year}"


def words_of(
    kind: str, gifts: Sequence[GiftFacts], sender: Sender, year: int, earlier: Sequence[Earlier] = ()
) -> dict[str, Any]:
    """Everything a letter says except to whom, as JSON values. Refuses a letter without a gift."""
    if not gifts:
        raise BadInput("There is no gift that a letter could speak of.")
    money = [gift for gift in gifts if not gift.goods]
    goods = [gift for gift in gifts if gift.goods]
    return {
        "fund": sender.fund,
        "town": sender.town,
        "tax_id": sender.tax_id,
        "signed_by": sender.signed_by,
        "subject": f"Your gifts of {year}" if kind == YEAR else f"Your gift of {long_day(gifts[0].on)}",
        "opening": _opening(kind, money, goods, sender, year),
        "rows": [_row(gift) for gift in money],
        "columns": _columns(money),
        "total": [str(money_given(money)), str(gift_parts(money))],
        "goods": [[gift.on.isoformat(), gift.code, gift.goods, gift.purpose] for gift in goods],
        "statements": _statements(gifts, sender),
        "earlier": [_earlier(one, len(gifts)) for one in earlier],
        "closing": _closing(gifts),
        "source": _source(gifts),
    }


def _opening(
    kind: str, money: Sequence[GiftFacts], goods: Sequence[GiftFacts], sender: Sender, year: int
) -> str:
    fund = f"the {sender.fund} in {sender.town}"
    if kind == YEAR:
        what = [f"${money_given(money)} in {_count(len(money), 'gift')}"] if money else []
        what += [_count(len(goods), "gift of goods", "gifts of goods")] if goods else []
        return f"thank you for what you gave {fund} in {year}: {' and '.join(what)}."
    if goods:
        return f"thank you for what you gave {fund} on {long_day(goods[0].on)}: {goods[0].goods}."
    return f"thank you for your gift of ${money[0].kept} to {fund} on {long_day(money[0].on)}."


def _count(many: int, one: str, more: str = "") -> str:
    return f"{many} {one if many == 1 else more or one + 's'}"


def _row(gift: GiftFacts) -> list[str]:
    """Day, code, how it came and for what, amount, value of what was given in return, what counts as gift."""
    how = gift.way + (f", for {gift.purpose}" if gift.purpose else "")
    if gift.back:
        how += f"; {gift.given} given, {gift.back} of it went back"
    value = gift.benefit.value if gift.benefit and not gift.small else Money.zero
    counts = str(gift.part) if gift.deductible else "none"
    return [gift.on.isoformat(), gift.code, how, str(gift.kept), str(value) if value else "", counts]


def _columns(money: Sequence[GiftFacts]) -> str:
    """``plain`` when every amount counts whole or none does, else ``parts`` with value received and gift part."""
    plain = all(gift.deductible and gift.part == gift.kept for gift in money)
    return "plain" if plain or not any(gift.deductible for gift in money) else "parts"


def _statements(gifts: Sequence[GiftFacts], sender: Sender) -> list[str]:
    yes = [gift for gift in gifts if gift.deductible]
    no = [gift for gift in gifts if not gift.deductible]
    if not yes:
        return _not_deductible(no, sender, len(gifts))
    statements = _returns(yes, alone=len(gifts) == 1)
    if any(gift.goods for gift in yes):
        statements.append(OWN_VALUE)
    if no:
        days = ", ".join(f"{gift.code} of {long_day(gift.on)}" for gift in no)
        statements.append(
            f"When these were given, gifts to the {sender.fund} were not tax-deductible: {days}. They are thanked for and "
            "not part of what counts."
        )
    statements.append(CONTROL)
    return statements


def _not_deductible(gifts: Sequence[GiftFacts], sender: Sender, many: int) -> list[str]:
    which = "This is not a tax-deductible gift" if many == 1 else "These are not tax-deductible gifts"
    statements = [f"{which}: the {sender.fund} is not an organization to which such gifts can be made."]
    statements += [
        f"In return{_for(gift, many)} you received {gift.benefit.words}." for gift in gifts if gift.benefit
    ]
    return statements


def _for(gift: GiftFacts, many: int) -> str:
    return "" if many == 1 else f" for {gift.code}"


def _returns(gifts: Sequence[GiftFacts], *, alone: bool) -> list[str]:
    """That nothing was given in return, or what was and what it is worth."""
    with_benefit = [gift for gift in gifts if gift.benefit]
    statements = []
    for gift in with_benefit:
        assert gift.benefit is not None
        words, which = gift.benefit.words, "" if alone else f" for {gift.code}"
        if gift.small:
            statements.append(
                f"In return{which} you received {words}. By the tax rules on small benefits it does not reduce your gift: "
                "the whole amount counts."
            )
        elif gift.part > Money.zero:
            statements.append(
                f"In return{which} you received {words}, whose value we estimate in good faith at ${gift.benefit.value}. "
                f"The amount you may deduct is limited to the money you gave less that value: ${gift.part}."
            )
        else:
            statements.append(
                f"In return{which} you received {words}, whose value we estimate in good faith at ${gift.benefit.value}. "
                "That is not less than what you paid, so no part of it is a gift."
            )
    if not with_benefit:
        statements.append(NOTHING_BACK)
    elif len(with_benefit) < len(gifts):
        statements.append("For the other gifts we gave you no goods or services in return.")
    return statements


def _earlier(letter: Earlier, many: int) -> str:
    if letter.void:
        return f"This letter takes the place of our letter {letter.number} of {long_day(letter.on)}, which is void."
    what = "It" if many == 1 else ", ".join(letter.codes)
    stands = "stands" if len(letter.codes) == 1 else "stand"
    return f"{what} also {stands} in our letter {letter.number} of {long_day(letter.on)}; please count it once only."


def _closing(gifts: Sequence[GiftFacts]) -> list[str]:
    if not any(gift.deductible for gift in gifts):
        return ["Every month we publish what came in and which repairs it paid for."]
    return [
        "Please keep this letter with your tax papers. " + ADVISER,
        "Every month we publish what came in and which repairs it paid for.",
    ]


def _source(gifts: Sequence[GiftFacts]) -> str:
    """Where the statements come from; with the year's figures when a small benefit was judged by them."""
    if not any(gift.deductible for gift in gifts):
        return ""
    used = {gift.limits.year: gift.limits for gift in gifts if gift.benefit and gift.limits}
    figures = "".join(
        f" Small benefits {year}: {limits.procedure}, article up to ${limits.low_cost}, gift from ${limits.floor}, "
        f"at most ${limits.cap}."
        for year, limits in sorted(used.items())
    )
    return SOURCE.strip() + figures
