"""The bank's part of the close list: reconciled to 0.00 and reviewed, and each platform's own balance agreed."""

from fund.bank.models import PlatformBalance
from fund.bank.queries_reconciling import month_state
from fund.gifts.models import Platform
from fund.ledger.rules import Pots
from fund.money import Money, total
from reports.month.rules_close import Stop

PAGE = "/crew/bank/reconciliations/"


def bank_stops(month: str) -> list[Stop]:
    """What is left to do with the bank; only a notice for a fund that never brought in a statement."""
    state = month_state(month)
    if state.account is None:
        text = "No bank statement was ever brought in, so nobody has compared the books with the bank."
        return [Stop("bank", text, "the treasurer", False, "/crew/bank/statements/")]
    if state.reconciliation is None:
        return [Stop("bank", "The bank is not reconciled yet.", "the treasurer", True, f"{PAGE}{month}/")]
    if not state.true:
        text = "Something changed after the bank was reconciled. It has to be prepared anew."
        return [Stop("bank", text, "the treasurer", True, f"{PAGE}{month}/")]
    if not state.reviewed:
        by = state.reconciliation.prepared_by.label
        text = f"The bank reconciliation that {by} prepared waits for somebody else to review it."
        return [Stop("bank review", text, "the owner or accountant", True, f"{PAGE}{month}/")]
    return []


def clearing_stops(month: str, pots: Pots) -> list[Stop]:
    """Each platform against what it says itself: a difference blocks, a balance nobody compared is a notice."""
    told: dict[str, Money] = {}
    for row in PlatformBalance.objects.filter(month=month).order_by("pk"):
        told[row.platform_id] = row.amount
    found = []
    for platform in Platform.objects.all():
        held = total(amount for (code, _), amount in pots.items() if code == platform.account_id)
        says = told.get(platform.code)
        if says is None and held:
            text = f"The books say that {platform.name} holds {held}. Write down what it says itself."
            found.append(Stop("clearing", text, "the treasurer", False, "/crew/bank/platforms/", held))
        elif says is not None and says != held:
            text = f"{platform.name} says it holds {says}, the books say {held}: {says - held} apart."
            found.append(Stop("clearing", text, "the treasurer", True, "/crew/bank/platforms/", says - held))
    return found
