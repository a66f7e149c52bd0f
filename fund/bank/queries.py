from dataclasses import dataclass
from datetime import date

from fund.gifts.queries import Clearing, Unbanked, clearing, unbanked
from fund.ledger.chart import BANK, UNDEPOSITED
from fund.ledger.queries import balances
from fund.ledger.rules import GENERAL
from fund.money import Money, total

STALE_DAYS = 3  # common practice: bank within one to three working days


@dataclass(frozen=True, slots=True)
class BankToday:
    """Where money lies that came in: the bank by the books, what waits undeposited, what platforms still hold."""

    bank: Money
    restricted: Money
    undeposited: Money
    waiting: list[Unbanked]
    clearing: list[Clearing]

    @property
    def oldest(self) -> int:
        """Age in days of what has waited longest."""
        return max((one.age for one in self.waiting), default=0)

    @property
    def held(self) -> Money:
        return total(one.balance for one in self.clearing)


def bank_today(today: date) -> BankToday:
    pots = balances()
    bank = {pot: amount for (account, pot), amount in pots.items() if account == BANK}
    return BankToday(
        bank=total(bank.values()),
        restricted=total(amount for pot, amount in bank.items() if pot != GENERAL),
        undeposited=total(amount for (account, _), amount in pots.items() if account == UNDEPOSITED),
        waiting=unbanked(today),
        clearing=clearing(pots),
    )
