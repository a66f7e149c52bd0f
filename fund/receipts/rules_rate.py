"""Which lines the printed tax is on, by the rate it comes to: a core deposit is taxed in some states and not in others. Pure.

A combined rate is a multiple of a twentieth or an eighth of one percent nearly everywhere in the US, and below 13 (common
practice, no source). A set of lines whose tax comes to no such rate is not the set that was taxed; where more than one
set does, nothing is decided and the person is asked.
"""

import re
from collections.abc import Sequence
from fractions import Fraction
from itertools import product

from fund.money import Money, total

STEPS = (Fraction(1, 2000), Fraction(1, 800))
HIGHEST = Fraction(13, 100)
_NO_CORE = re.compile(
    r"\b(heater|valve|radiator|evaporator|ac|a/c)\s+core\b|\bcore\s+(plug|support|tool)", re.I
)
_CORE = re.compile(r"\bcore\b", re.I)
_FEE = re.compile(r"\b(fees?|disposal|haz\W?mat|hazardous waste|enviro\w*|recycling|deposit)\b", re.I)
_RATE = re.compile(r"(?<![\d.])(\d{1,2}(?:\.\d{1,4})?)\s?%")


def kind_of(text: str) -> str:
    """What a printed line is besides goods, by its words: "core", "fee" or empty."""
    if _CORE.search(text) and not _NO_CORE.search(text):
        return "core"
    return "fee" if _FEE.search(text) else ""


def rate_in(text: str) -> Fraction | None:
    """The rate that a row names (8.25 % is 33/400), if it can be one of sales tax."""
    found = _RATE.search(text)
    rate = Fraction(found[1]) / 100 if found else Fraction(0)
    return rate if Fraction(0) < rate <= HIGHEST else None


def comes_to_a_rate(base: Money, tax: Money, lines: int, rate: Fraction | None = None) -> bool:
    """Whether ``tax`` is ``base`` times a rate there can be, or times the one printed. Half a cent for each line may be
    lost to rounding, because some counters round line by line.
    """
    if base <= Money.zero or tax <= Money.zero:
        return False
    room = Fraction(max(lines, 1), 2)
    near = Fraction(tax.minor, base.minor)
    if near > HIGHEST:
        return False
    rates = [rate] if rate else [round(near / step) * step for step in STEPS]
    return any(each and abs(base.minor * each - tax.minor) <= room for each in rates)


def taxed_by_rate(
    lines: Sequence[tuple[Money, str]],
    tax: Money,
    freight: Money = Money.zero,
    discount: Money = Money.zero,
    rate: Fraction | None = None,
) -> dict[str, bool | None]:
    """For each kind among ``lines`` (amount, :func:`kind_of`): whether the tax is on it; None where the rate does not tell.

    Goods count as taxed. Shipping is taxed in some places and not in others, so both are tried.
    """
    kinds = sorted({kind for _, kind in lines if kind})
    fitting: list[dict[str, bool]] = []
    for yes in product((False, True), repeat=len(kinds)):
        taxed = dict(zip(kinds, yes, strict=True))
        amounts = [amount for amount, kind in lines if taxed.get(kind, True)]
        base = total(amounts) - discount
        if any(comes_to_a_rate(each, tax, len(amounts), rate) for each in {base, base + freight}):
            fitting.append(taxed)
    said = {kind: {taxed[kind] for taxed in fitting} for kind in kinds}
    return {kind: answers.pop() if len(answers) == 1 else None for kind, answers in said.items()}


def percent(base: Money, tax: Money) -> str:
    """``8.25 %``, to the nearest hundredth; ``base`` above zero."""
    hundredths = round(Fraction(tax.minor * 10_000, base.minor))
    return f"{hundredths // 100}.{hundredths % 100:02} %"


def core_question(
    lines: Sequence[tuple[Money, bool, bool]],
    tax: Money,
    freight: Money = Money.zero,
    discount: Money = Money.zero,
) -> str:
    """What to ask about the ticks beside core deposits; empty when the rate bears them out or there is nothing to ask.

    ``lines`` are (amount, whether it is a core, whether it is ticked as taxed).
    """
    cores = [(amount, ticked) for amount, core, ticked in lines if core and amount]
    goods = [amount for amount, core, ticked in lines if not core and ticked and amount]
    if not cores or tax <= Money.zero:
        return ""
    rows = [(amount, "") for amount in goods] + [(amount, "core") for amount, _ in cores]
    told = taxed_by_rate(rows, tax, freight, discount)["core"]
    if told is True and all(ticked for _, ticked in cores):
        return ""
    if told is not True and not any(ticked for _, ticked in cores):
        return ""
    without = total(goods) - discount
    with_it = without + total(amount for amount, _ in cores)
    asked = f"The tax of {tax} would be on the core deposit alone."
    if without > Money.zero:
        rates = percent(without, tax), percent(with_it, tax)
        asked = (
            f"The tax of {tax} is {rates[0]} of the taxed lines without the core deposit, {rates[1]} with it."
        )
    todo = "Tick “Taxed” beside the core" if told else "Take the tick “Taxed” off the core"
    return f"{asked} {todo}, or say here that the paper has it as it is ticked."
