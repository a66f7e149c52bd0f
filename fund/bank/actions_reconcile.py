"""Preparing a month's bank reconciliation, reviewing it, and noting what platforms say they hold."""

import io
from collections.abc import Mapping

from django.db import transaction

from fund import clock
from fund.access.guards import require, two_people
from fund.access.models import Person
from fund.attachments.actions import store
from fund.bank.models import BankAccount, Reconciliation, ReconciliationReview
from fund.bank.queries_reconciling import Sheet, latest, reckon, still_true
from fund.bank.rules_difference import difference_hints
from fund.bank.rules_reconciling import OLD_DAYS, frozen, thawed
from fund.bank.sheet_pdf import reconciliation_pdf
from fund.ledger.chart import BANK
from fund.ledger.lock import hold_books
from fund.ledger.rules import last_day
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record


class Named(io.BytesIO):
    """Bytes with a name, as the keeper of attachments takes them."""

    def __init__(self, data: bytes, name: str) -> None:
        super().__init__(data)
        self.name = name


@transaction.atomic
def reconcile(
    *,
    by: Person,
    month: str,
    statement_balance: Money | None = None,
    bank_errors: Mapping[int, str] | None = None,
    notes: Mapping[str, str] | None = None,
) -> Reconciliation:
    """Prepare a month's reconciliation: it must come to 0.00 with nothing unexplained.

    ``statement_balance`` (minor units) is the closing balance read from the statement; it may be left out when a stored
    statement covers the month's last day. ``bank_errors`` and ``notes`` as in :func:`reckon`. Refuses unmatched lines, a
    difference (with hints), and an item older than 30 days without a word.
    """
    require(by, "bank.reconcile")
    hold_books()
    account = _account(month)
    sheet = reckon(month, bank_errors=bank_errors, notes=notes)
    refuse_unsettled(sheet, statement_balance)
    before = latest(month)
    if before is not None and hasattr(before, "review") and still_true(before):
        raise AlreadyDone(f"{month} is reconciled and reviewed, and nothing has changed since.")
    found = Reconciliation.objects.create(
        account=account,
        month=month,
        statement_balance=sheet.reckoning.statement,
        book_balance=sheet.reckoning.books,
        snapshot=frozen(sheet.reckoning),
        prepared_by=by,
        prepared_at=clock.now(),
    )
    text = (
        f"Bank {month}: statement {sheet.reckoning.statement}, books {sheet.reckoning.books}, "
        f"{len(sheet.reckoning.outstanding)} outstanding, {len(sheet.reckoning.in_transit)} in transit, difference 0.00."
    )
    record(by=by, action="bank.reconcile", subject=month, text=text)
    return found


def _account(month: str) -> BankAccount:
    if last_day(month) >= clock.today():
        raise NotReady(f"{month} is not over yet. Reconcile it when its statement is there.")
    account = BankAccount.objects.filter(ledger_account=BANK).first()
    if account is None:
        raise NotReady("No statement of the bank was imported yet. Import one first.")
    return account


def refuse_unsettled(sheet: Sheet, statement_balance: Money | None) -> None:
    """Say what still stands between a sheet and 0.00."""
    found = sheet.reckoning
    if statement_balance is None and (sheet.covered is None or sheet.covered < sheet.end):
        raise NotReady(
            f"The stored statements end on {sheet.covered}, not on {sheet.end}. Import the rest of the month, or type the "
            "closing balance from the statement."
        )
    if statement_balance is not None and statement_balance != found.statement:
        off = statement_balance - found.statement
        named = [(f"line of {line.on}, {line.words}", line.amount) for line in sheet.unmatched]
        raise BadInput(
            f"The statement says {statement_balance}, the stored lines come to {found.statement}: {off} apart.",
            difference_hints(off, named),
        )
    if sheet.unmatched:
        raise NotReady(
            f"{_lines(len(sheet.unmatched))} not matched yet; together {sheet.open_sum}.",
            [f"{line.on} {line.amount} {line.words}" for line in sheet.unmatched[:10]],
        )
    if found.difference:
        raise BadInput(
            f"The bank's side comes to {found.bank_side}, the books' side to {found.book_side}: {found.difference} apart.",
            difference_hints(
                found.difference,
                [(item.label, item.amount) for item in (*found.in_transit, *found.outstanding)],
            ),
        )
    if found.unexplained:
        raise NotReady(
            f"Say a word about each item older than {OLD_DAYS} days.",
            [f"{item.label} of {item.on}, {item.amount}, {item.age} days." for item in found.unexplained],
        )


def _lines(many: int) -> str:
    return "1 line of the bank is" if many == 1 else f"{many} lines of the bank are"


@transaction.atomic
def review(*, by: Person, reconciliation: Reconciliation, note: str = "") -> ReconciliationReview:
    """Review a reconciliation that somebody else prepared, and keep its PDF with the month.

    Refuses the one who prepared it, one reviewed before or replaced, and one whose figures have changed since.
    """
    require(by, "bank.review")
    two_people(reconciliation.prepared_by, by, "reconcile the bank and review it")
    hold_books()
    newest = latest(reconciliation.month)
    if ReconciliationReview.objects.filter(reconciliation=reconciliation).exists():
        raise AlreadyDone(f"The reconciliation of {reconciliation.month} is reviewed already.")
    if newest is None or newest.pk != reconciliation.pk:
        raise AlreadyDone("A newer reconciliation of this month was prepared. Review that one.")
    if not still_true(reconciliation):
        raise NotReady(
            f"Something was matched, undone or posted in {reconciliation.month} after this was prepared. Have "
            f"{reconciliation.prepared_by.label} prepare it anew."
        )
    now = clock.now()
    data = reconciliation_pdf(reconciliation, thawed(reconciliation.snapshot), by.label, now, note.strip())
    name = f"bank-reconciliation-{reconciliation.month}.pdf"
    kept = store(by=by, upload=Named(data, name), subject=reconciliation.month, power="bank.see")
    done = ReconciliationReview.objects.create(
        reconciliation=reconciliation,
        prepared_by=reconciliation.prepared_by,
        reviewed_by=by,
        reviewed_at=now,
        note=note.strip()[:300],
        pdf=kept,
    )
    text = f"{by.label} reviewed the bank reconciliation that {reconciliation.prepared_by.label} prepared."
    record(by=by, action="bank.review", subject=reconciliation.month, text=text)
    return done
