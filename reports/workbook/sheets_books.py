"""The sheets of the books: every ledger line, the trial balance over them, the purposes rolled forward."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import timedelta
from typing import Any

from fund.ledger.models import Account, Purpose
from fund.ledger.rules import Pots
from fund.money import Money
from reports.workbook.rules import Area, Column, Kind, agrees
from reports.workbook.writer import Formula, SheetWriter

DAY_BEFORE = timedelta(days=1)

LEDGER = (
    Column("Posting date", Kind.DAY, 12),
    Column("Document date", Kind.DAY, 12),
    Column("Entry no.", Kind.NUMBER, 9),
    Column("Account", Kind.TEXT, 9),
    Column("Account name", Kind.TEXT, 30),
    Column("Debit", Kind.MONEY, 13, summed=True),
    Column("Credit", Kind.MONEY, 13, summed=True),
    Column("Purpose", Kind.TEXT, 16),
    Column("Repair order", Kind.TEXT, 12),
    Column("Party", Kind.TEXT, 18),
    Column("Description", Kind.TEXT, 44),
    Column("Receipt or source", Kind.TEXT, 20),
    Column("Entered by", Kind.TEXT, 18),
    Column("Approved by", Kind.TEXT, 22),
    Column("Reverses entry", Kind.NUMBER, 10),
    Column("Later change", Kind.TEXT, 9),
)
TRIAL = (
    Column("Account", Kind.TEXT, 9),
    Column("Account name", Kind.TEXT, 36),
    Column("Kind", Kind.TEXT, 12),
    Column("Opening", Kind.MONEY, 14, summed=True),
    Column("Debits", Kind.MONEY, 14, summed=True),
    Column("Credits", Kind.MONEY, 14, summed=True),
    Column("Closing", Kind.MONEY, 14, summed=True),
    Column("Closing debit", Kind.MONEY, 14, summed=True),
    Column("Closing credit", Kind.MONEY, 14, summed=True),
    Column("Closing in the books", Kind.MONEY, 14, summed=True),
    Column("Difference", Kind.MONEY, 12, summed=True),
)
PURPOSES = (
    Column("Purpose", Kind.TEXT, 24),
    Column("Restricted", Kind.TEXT, 11),
    Column("Giver's words", Kind.TEXT, 40),
    Column("Opening", Kind.MONEY, 14, summed=True),
    Column("Gifts and other income", Kind.MONEY, 14, summed=True),
    Column("Spent", Kind.MONEY, 14, summed=True),
    Column("Moved between purposes, or brought in", Kind.MONEY, 18, summed=True),
    Column("Closing", Kind.MONEY, 14, summed=True),
    Column("Closing in the books", Kind.MONEY, 14, summed=True),
    Column("Difference", Kind.MONEY, 12, summed=True),
)


def write_ledger(sheet: SheetWriter, rows: Iterable[Any]) -> Area:
    area = sheet.add_all(rows)
    sheet.note("Debits = credits", Formula(agrees(area.total("Debit"), area.total("Credit"))), bold=True)
    return area


def write_trial(sheet: SheetWriter, chart: list[Account], before: Pots, after: Pots, ledger: Area) -> Area:
    """Every account that moved or holds something. Movements are summed from the ledger sheet, live."""
    opening, closing = _by_account(before), _by_account(after)
    for account in chart:
        at = sheet.rows + 2
        moved = {
            side: f"SUMIF({ledger.column('Account')},A{at},{ledger.column(side)})"
            for side in ("Debit", "Credit")
        }
        sheet.add(
            (
                account.code, account.name, account.kind, opening[account.code], Formula(f"={moved['Debit']}"),
                Formula(f"={moved['Credit']}"), Formula(f"=D{at}+E{at}-F{at}"), Formula(f"=MAX(ROUND(G{at},2),0)"),
                Formula(f"=MAX(ROUND(-G{at},2),0)"), closing[account.code], Formula(f"=ROUND(G{at}-J{at},2)"),
            )
        )  # fmt: skip
    area = sheet.finish()
    for words, formula in trial_checks(area):
        sheet.note(None, words, None, formula, kinds=(Kind.TEXT, Kind.TEXT, Kind.TEXT, Kind.MONEY), bold=True)
    return area


def _by_account(pots: Pots) -> dict[str, Money]:
    sums: dict[str, Money] = defaultdict(lambda: Money.zero)
    for (code, _), amount in pots.items():
        sums[code] += amount
    return sums


def trial_checks(area: Area) -> list[tuple[str, Formula]]:
    """What must hold, as live formulas; the last two are amounts."""
    kind, closing = area.column("Kind"), area.column("Closing")
    net = f'SUMIF({kind},"asset",{closing})+SUMIF({kind},"liability",{closing})'
    opening = area.column("Opening")
    net_before = f'SUMIF({kind},"asset",{opening})+SUMIF({kind},"liability",{opening})'
    return [
        ("Debits = credits", Formula(agrees(area.total("Debits"), area.total("Credits")))),
        (
            "Closing debits = closing credits",
            Formula(agrees(area.total("Closing debit"), area.total("Closing credit"))),
        ),
        (
            "Every closing agrees with the books",
            Formula(agrees(f"SUMPRODUCT(ABS({area.column('Difference')}))", "0")),
        ),
        ("Net assets at the start", Formula(f"=ROUND({net_before},2)")),
        ("Net assets at the end", Formula(f"=ROUND({net},2)")),
    ]


def write_purposes(
    sheet: SheetWriter, purposes: list[Purpose], before: Pots, after: Pots, ledger: Area
) -> Area:
    """What each purpose held, took in, spent and holds; movements are summed from the ledger sheet, live."""
    for purpose in purposes:
        at = sheet.rows + 2
        sheet.add(
            (
                purpose.name, "yes" if purpose.restricted else "no", purpose.giver_words,
                _net_assets(before, purpose.code), _moved(ledger, at, "4"), Formula("=-(" + _moved(ledger, at, "5")[1:] + ")"),
                _moved(ledger, at, "3"), Formula(f"=D{at}+E{at}-F{at}+G{at}"), _net_assets(after, purpose.code),
                Formula(f"=ROUND(H{at}-I{at},2)"),
            )
        )  # fmt: skip
    return sheet.finish()


def _net_assets(pots: Pots, purpose: str) -> Money:
    """Assets less liabilities of a purpose, which is what its net asset, income and cost accounts add up to."""
    return Money(
        -sum(amount.minor for (code, pot), amount in pots.items() if pot == purpose and code[0] in "345")
    )


def _moved(ledger: Area, at: int, first_figure: str) -> Formula:
    """Credits less debits of a purpose on the accounts whose code begins with a figure."""
    where = f'{ledger.column("Purpose")},$A{at},{ledger.column("Account")},"{first_figure}*"'
    return Formula(f"=SUMIFS({ledger.column('Credit')},{where})-SUMIFS({ledger.column('Debit')},{where})")
