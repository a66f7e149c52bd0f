"""What waits for a person: one small count per room, asked only of those who may act on it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from django.db.models import Q
from django.urls import reverse

from fund import clock
from fund.access.models import Person
from fund.bank.queries_open import open_lines
from fund.bank.queries_pages import reconciliations
from fund.commitments.queries_idle import to_look_at
from fund.gifts.models import CashCount, Gift, PayoutFile
from fund.gifts.queries_open import (
    asked_changes,
    open_disputes,
    open_exceptions,
    owed_benefits,
    ripe_checks,
    unsettled,
)
from fund.ledger.queries import first_month, last_closed_month
from fund.ledger.rules import month_of, next_month
from fund.letters.queries import to_withdraw
from fund.receipts.models import CoreDeposit, Receipt
from fund.receipts.models_returns import StatementQuestion
from fund.receipts.queries import cores_that_warn
from fund.receipts.queries_returns import open_claims
from fund.repayments.hands import releasable
from fund.repayments.queries import unpaid, unpaid_mileage, waiting_for_release
from fund.repayments.queries_held import uncashed
from jobs.approvals.queries import asked_of, to_decide
from jobs.approvals.queries_consumables import undecided_with_consumables
from jobs.approvals.queries_overspend import drafts_that_pass
from jobs.eligibility.queries import eligible_applications
from jobs.eligibility.queries_stuck import stuck
from jobs.handback.queries_proof import open_reminders, undecided_comebacks
from jobs.hours.queries import waiting_for
from jobs.intake.queries import waiting_list
from jobs.repairs.queries import open_repairs, repairs_of
from jobs.repairs.rules import State
from jobs.vehicles.queries_desk import to_write_to
from reports.month.queries import next_to_publish


@dataclass(frozen=True, slots=True)
class Waiting:
    """A thing to be done: its power, the name of its page, words for one and for many, and who counts how many there are.

    ``filter``: what of the page's list is meant, as in its address.
    """

    power: str
    page: str
    one: str
    many: str
    count: Callable[[Person], int]
    filter: str = ""


@dataclass(frozen=True, slots=True)
class Item:
    """One line of Today."""

    count: int
    words: str
    url: str


def _drafts(person: Person) -> int:
    return Receipt.objects.filter(state="draft", entered_by=person).count()


def _seen_paid(person: Person) -> int:
    return Receipt.objects.filter(state="draft", witness=person).count()


def _unposted_payouts(person: Person) -> int:
    return PayoutFile.objects.filter(posted_at=None).count()


def _unbanked(person: Person) -> int:
    checks = Gift.objects.filter(kind="check", deposit=None, returns=None).count()
    return checks + CashCount.objects.filter(deposit=None, void_on=None).count()


def _ripe_checks(person: Person) -> int:
    return ripe_checks(clock.today()).count()


def _unsettled(person: Person) -> int:
    return unsettled().count()


def _disputes(person: Person) -> int:
    return open_disputes().count()


def _unsent(person: Person) -> int:
    """Things promised in return for gifts that stand."""
    return owed_benefits().count()


def _exceptions(person: Person) -> int:
    mine = Q(count__counted_by=person) | Q(count__second_by=person)
    return open_exceptions().exclude(mine).count()


def _changes(person: Person) -> int:
    return asked_changes().exclude(asked_by=person).count()


def _to_release(person: Person) -> int:
    return waiting_for_release().exclude(person=person).exclude(prepared_by=person).count()


def _to_stand_in(person: Person) -> int:
    """What the accountant releases because no other owner is free to."""
    return len(releasable(person, waiting_for_release()))


def _owed_people(person: Person) -> int:
    buyers = unpaid().exclude(buyer=person).order_by().values_list("buyer", flat=True)
    drivers = unpaid_mileage().exclude(person=person).order_by().values_list("person", flat=True)
    return len({*buyers.distinct(), *drivers.distinct()})


def _unmatched(person: Person) -> int:
    return open_lines().count()


def _to_review(person: Person) -> int:
    return reconciliations().filter(review=None).exclude(prepared_by=person).count()


def _to_withdraw(person: Person) -> int:
    return to_withdraw().count()


def _checks(person: Person) -> int:
    return sum(one.over for one in uncashed())


def _cores_out(person: Person) -> int:
    return CoreDeposit.objects.filter(returned=None).count()


def _cores_due(person: Person) -> int:
    return cores_that_warn().count()


def _lost_papers(person: Person) -> int:
    return Receipt.objects.filter(state="draft", missing=True).exclude(buyer=person).count()


def _due_from_stores(person: Person) -> int:
    return open_claims().count()


def _questions(person: Person) -> int:
    return StatementQuestion.objects.filter(answered_on=None).count()


def _undecided(person: Person) -> int:
    return waiting_list().exclude(state="eligible").count()


def _stuck(why: str) -> Callable[[Person], int]:
    return lambda person: stuck(why).count()


def _to_decide(person: Person) -> int:
    mine = to_decide().exclude(opened_by=person).exclude(estimate_by=person).exclude(mechanic=person)
    return mine.count()


def _promises(person: Person) -> int:
    return len(to_look_at())


def _overspent(person: Person) -> int:
    return sum(one.receipt.buyer_id != person.pk for one in drafts_that_pass())


def _taken(person: Person) -> int:
    return undecided_with_consumables().exclude(mechanic=person).count()


def _tested(person: Person) -> int:
    return open_repairs().filter(state=State.TESTED).count()


def _in_hand(person: Person) -> int:
    return repairs_of(person).count()


def _to_call(person: Person) -> int:
    return eligible_applications().count()


def _ties(person: Person) -> int:
    return asked_of(person).count()


def _hours(person: Person) -> int:
    return waiting_for(person).count()


def _to_walk_round(person: Person) -> int:
    return open_repairs().filter(check_in=None).count()


def _to_write_to(person: Person) -> int:
    return to_write_to().count()


def _reminders(person: Person) -> int:
    return open_reminders().count()


def _faults(person: Person) -> int:
    return undecided_comebacks(person).count()


def _to_publish(person: Person) -> int:
    return int(next_to_publish() is not None)


def _to_close(person: Person) -> int:
    return int(month_to_close() is not None)


def month_to_close() -> str | None:
    """The month that comes next to close, if it is over."""
    last = last_closed_month()
    month = next_month(last) if last else first_month()
    return month if month and month < month_of(clock.today()) else None


WAITING: tuple[Waiting, ...] = (
    Waiting("repair.approve", "approvals:waiting", "repair waits for a yes or no", "repairs wait for a yes or no", _to_decide),
    Waiting("repair.approve", "approvals:waiting", "receipt beyond its approval", "receipts beyond their approval", _overspent),
    Waiting("repair.approve", "approvals:waiting",
            "repair has consumables before its decision", "repairs have consumables before their decision", _taken),
    Waiting("repair.approve", "approvals:promised", "promise to renew or let go", "promises to renew or let go", _promises),
    Waiting("repay.release", "repayments:payments", "repayment to release", "repayments to release", _to_release),
    Waiting("repay.release_for_owner", "repayments:payments", "repayment to release", "repayments to release", _to_stand_in),
    Waiting("household.screen", "intake:list", "request to decide on", "requests to decide on", _undecided),
    Waiting("household.screen", "intake:list", "yes has run out", "yeses have run out", _stuck("ran out"), "?stuck=ran+out"),
    Waiting("household.screen", "intake:list",
            "request whose papers never came", "requests whose papers never came", _stuck("silent"), "?stuck=silent"),
    Waiting("household.screen", "intake:list",
            "request lost a needed yes", "requests lost a needed yes", _stuck("no yes"), "?stuck=no+yes"),
    Waiting("gift.import", "gifts:payouts", "payout file to post", "payout files to post", _unposted_payouts),
    Waiting("gift.bank", "gifts:deposit-new", "count or check to bank", "counts and checks to bank", _unbanked),
    Waiting("bank.reconcile", "bank:match", "line of the bank to match", "lines of the bank to match", _unmatched),
    Waiting("bank.review", "bank:reconciliations", "bank reconciliation to review", "bank reconciliations to review", _to_review),
    Waiting("gift.record", "gifts:checks", "held check whose day has come", "held checks whose day has come", _ripe_checks),
    Waiting("gift.record", "gifts:waiting", "gift to settle", "gifts to settle", _unsettled),
    Waiting("gift.record", "gifts:disputes", "chargeback waits for its answer", "chargebacks wait for their answers", _disputes),
    Waiting("gift.record", "gifts:waiting",
            "thing owed to a supporter is not sent", "things owed to supporters are not sent", _unsent),
    Waiting("gift.second_look", "gifts:exceptions", "exception about gifts", "exceptions about gifts", _exceptions),
    Waiting("restriction.decide", "gifts:restrictions", "change of restricted money", "changes of restricted money", _changes),
    Waiting("repay.prepare", "repayments:owed", "crew member to repay", "crew members to repay", _owed_people),
    Waiting("repay.prepare", "repayments:owed", "check not cashed in time", "checks not cashed in time", _checks),
    Waiting("letter.write", "letters:letters", "letter to withdraw", "letters to withdraw", _to_withdraw),
    Waiting("month.close", "month:months", "month is over and open", "months are over and open", _to_close),
    Waiting("month.publish", "month:months", "closed month to publish", "closed months to publish", _to_publish),
    Waiting("repair.write", "repairs:all", "repair in your hands", "repairs in your hands", _in_hand),
    Waiting("repair.write", "repairs:choose", "household to call in", "households to call in", _to_call),
    Waiting("repair.write", "repairs:all", "vehicle to check in", "vehicles to check in", _to_walk_round),
    Waiting("repair.write", "checkin:unfetched", "owner to write to", "owners to write to", _to_write_to),
    Waiting("handback.record", "repairs:all", "vehicle to hand back", "vehicles to hand back", _tested),
    Waiting("handback.record", "handback:reminders", "thing due after a hand-back", "things due after hand-backs", _reminders),
    Waiting("repair.write", "handback:comebacks",
            "comeback waits for a word on the fault", "comebacks wait for a word on the fault", _faults),
    Waiting("repair.see", "repairs:all", "repair asks for your tie or none", "repairs ask for your tie or none", _ties),
    Waiting("receipt.enter", "receipts:all", "receipt of yours is a draft", "receipts of yours are drafts", _drafts),
    Waiting("receipt.enter", "receipts:all",
            "receipt that you saw paid waits for you", "receipts that you saw paid wait for you", _seen_paid),
    Waiting("core.return", "shelf:run", "core is due in 14 days or less", "cores are due in 14 days or less", _cores_due),
    Waiting("core.return", "shelf:cores", "core to bring back", "cores to bring back", _cores_out),
    Waiting("receipt.approve", "receipts:all", "lost receipt to approve", "lost receipts to approve", _lost_papers),
    Waiting("claim.settle", "receipts:claims", "refund due from a store", "refunds due from stores", _due_from_stores),
    Waiting("bill.pay", "receipts:bills", "question to a store is open", "questions to stores are open", _questions),
    Waiting("today.see", "hours:to-confirm", "entry of hours needs your yes", "entries of hours need your yes", _hours),
)  # fmt: skip


def waiting_for_person(person: Person, can: Mapping[str, bool]) -> list[Item]:
    """What waits for this person, in the order of the table; nothing that counts zero. ``can`` as in templates."""
    items = []
    for thing in WAITING:
        if can.get(thing.power.replace(".", "_")) and (count := thing.count(person)):
            items.append(
                Item(count, thing.one if count == 1 else thing.many, reverse(thing.page) + thing.filter)
            )
    return items
