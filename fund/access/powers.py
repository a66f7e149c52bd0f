"""Who may do what: one table, from which groups, guards, messages and tests follow."""

from dataclasses import dataclass

OWNER, TREASURER, SCREENER, VOLUNTEER, ACCOUNTANT = ROLES = (
    "owner",
    "treasurer",
    "screener",
    "volunteer",
    "accountant",
)


@dataclass(frozen=True, slots=True)
class Power:
    """One thing a person may do; ``words`` completes the sentence "Only … may <words>"."""

    name: str
    words: str
    roles: tuple[str, ...]


_MONEY = (OWNER, TREASURER, ACCOUNTANT)
_HANDS = (OWNER, TREASURER, VOLUNTEER)
_TABLE = (
    Power("today.see", "see what waits for them today", ROLES),
    Power("gift.see", "see gifts", _MONEY),
    Power("gift.record", "record a gift", (TREASURER,)),
    Power("gift.import", "post a payout", (TREASURER,)),
    Power("gift.layout", "change how payout files are read", (TREASURER,)),
    Power("gift.count", "count cash", _HANDS),
    Power("gift.bank", "bank cash and checks", (TREASURER,)),
    Power("gift.names", "see the names of supporters", _MONEY),
    Power("supporter.merge", "merge supporters, or erase one", (TREASURER,)),
    Power("gift.second_look", "resolve an exception about a gift", (OWNER, TREASURER)),
    Power("restriction.ask", "ask to change what restricted money is for", (TREASURER,)),
    Power("restriction.decide", "agree to a change of what restricted money is for", (OWNER, ACCOUNTANT)),
    Power("letter.write", "write a letter to a supporter", (TREASURER,)),
    Power("receipt.enter", "enter a receipt", _HANDS),
    Power("receipt.see", "see receipts", (OWNER, TREASURER, VOLUNTEER, ACCOUNTANT)),
    Power("core.return", "return a core", _HANDS),
    Power("shelf.issue", "take parts from the shelf", _HANDS),
    Power("repay.prepare", "prepare a repayment", (TREASURER,)),
    Power("receipt.correct", "take back a posted receipt", (TREASURER,)),
    Power("receipt.approve", "approve a purchase without its receipt", (OWNER, TREASURER)),
    Power("receipt.late", "let in a receipt that is late", (OWNER,)),
    Power("receipt.second_look", "look a second time at receipts", _MONEY),
    Power("claim.settle", "write down what a store paid back", _HANDS),
    Power("bill.pay", "pay a supplier's bill", (OWNER, TREASURER)),
    Power("petty.keep", "fill petty cash", (TREASURER,)),
    Power("petty.count", "count petty cash", _HANDS),
    Power("repay.release", "release a repayment", (OWNER,)),
    Power("repay.prepare_for_treasurer", "prepare a repayment to the only treasurer", (OWNER,)),
    Power("repay.release_for_owner", "release a repayment where no other owner is free to", (ACCOUNTANT,)),
    Power("bank.see", "see the bank account", _MONEY),
    Power("bank.reconcile", "bring in bank statements and reconcile them", (TREASURER,)),
    Power("bank.review", "review a bank reconciliation", (OWNER, ACCOUNTANT)),
    Power("household.screen", "decide on a household", (SCREENER, OWNER, TREASURER)),
    Power("household.papers", "see a household's income and papers", (SCREENER, OWNER, TREASURER)),
    Power("intake.enter", "take down a request for help", (SCREENER, VOLUNTEER, OWNER, TREASURER)),
    Power("repair.see", "see repair orders", ROLES),
    Power("repair.write", "write on a repair order", (VOLUNTEER, OWNER)),
    Power("repair.approve", "approve a repair", (OWNER, TREASURER)),
    Power("hours.enter", "enter hours", (VOLUNTEER, OWNER, TREASURER, SCREENER)),
    Power("roadtest.record", "record a road test", (VOLUNTEER, OWNER)),
    Power("handback.record", "hand a vehicle back", (VOLUNTEER, OWNER)),
    Power("handback.untested", "let a vehicle that is not safe go back untested", (OWNER,)),
    Power("month.see", "see the months before they are published", _MONEY),
    Power("month.close", "close a month", (TREASURER, OWNER)),
    Power("month.publish", "publish a month", (OWNER,)),
    Power("books.see", "see the books", _MONEY),
    Power("books.post", "post an entry", (TREASURER,)),
    Power("books.export", "take the books out as a workbook", _MONEY),
    Power("trail.see", "see the trail", _MONEY),
    Power("rules.change", "change the rules of the fund", (OWNER,)),
    Power("people.manage", "add crew members", (OWNER,)),
)
POWERS: dict[str, Power] = {power.name: power for power in _TABLE}


def roles_with(power: str) -> tuple[str, ...]:
    return POWERS[power].roles


def no_power_sentence(power: str) -> str:
    """The sentence for someone without the power; it names the roles that have it."""
    roles = roles_with(power)
    names = roles[0] if len(roles) == 1 else ", ".join(roles[:-1]) + " or " + roles[-1]
    article = "an" if names[0] in "aeiou" else "a"
    return f"Only {article} {names} may {POWERS[power].words}. Ask one of them."
