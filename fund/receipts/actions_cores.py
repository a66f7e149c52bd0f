from datetime import date
from typing import Any

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.commitments.actions import spend
from fund.ledger.actions import post
from fund.ledger.chart import BANK, BILLS, CORES_LOST, DUE_FROM_CREW, PETTY_CASH, STORE_CREDIT
from fund.ledger.lock import hold_books
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.receipts.actions_claims import refuse_set_off
from fund.receipts.models import CoreDeposit, CoreReturn, Receipt
from fund.receipts.models_returns import LateCoreRefund
from fund.receipts.queries import core_for
from fund.receipts.rules_shelf import core_ending, core_lines
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record

TO = {
    "bank": BANK,
    "bill": BILLS,
    "store_credit": STORE_CREDIT,
    "petty_cash": PETTY_CASH,
    "crew": DUE_FROM_CREW,
    "nobody": BANK,
}


@transaction.atomic
def return_core(
    *,
    by: Person,
    core: CoreDeposit,
    amount_back: Money,
    on: date,
    kind: str,
    to: str = "bank",
    person: Person | None = None,
    bill: Receipt | None = None,
    note: str = "",
    tax_kept: Money | None = None,
) -> CoreReturn:
    """End a core deposit: the money back, and what the store kept as lost. The repair's parts do not move.

    ``kind`` is full, part, refused or lapsed; ``to`` says where the money went: bank, petty_cash, store_credit, bill (the
    store credited its account: ``bill`` is that much less to pay), or crew (on the card of ``person``, who then owes it).
    ``tax_kept``: the store returned the deposit but not the tax on it, which becomes a cost of the part. Refuses a core that
    has ended, a day before it was bought or still to come, an amount that does not fit the kind, and a bill of another store,
    paid before, or with less left on it.
    """
    require(by, "core.return")
    if kind not in dict(CoreReturn.KINDS):
        raise BadInput("Say how the core ended: all of it back, part of it back, refused, or lapsed.")
    if to not in TO or (to == "crew" and person is None):
        raise BadInput("Say where the money went: the bank, petty cash, a bill, store credit, or whose card.")
    hold_books()
    core = CoreDeposit.objects.select_related("store", "cost_object").get(pk=core.pk)
    if CoreReturn.objects.filter(core=core).exists():
        raise AlreadyDone(f"{core.code} has ended before. Nothing was posted.")
    if not core.on <= on <= clock.today():
        raise BadInput(f"{core.code} was bought on {core.on}; it cannot have come back on {on}.")
    kept = tax_kept or Money.zero
    if kept < Money.zero or kept > core.tax:
        raise BadInput(f"The tax on {core.code} was {core.tax}; the store cannot have kept {kept} of it.")
    core_ending(core.amount, kind, amount_back, kept)
    against = bill if to == "bill" and amount_back else None
    if to == "bill" and amount_back:
        refuse_set_off(core.store, bill, amount_back)
    crew = person.username if person else ""
    party = {"crew": crew, "store_credit": core.store.name, "bill": core.store.name}.get(to, "")
    words = dict(CoreReturn.KINDS)[kind]
    text = f"Core {core.code} {core.item} at {core.store}: {words}"
    lines = core_lines(TO[to], party, core.amount, amount_back, core.cost_object_id, text, kept)
    entry = post(by=by, draft=EntryDraft("core return", on, text, lines, core.code))
    if kept and core.cost_object_id:
        spend(by=by, cost_object=core.cost_object_id, amount=kept, entry=entry, settled=True)
    ended = CoreReturn.objects.create(
        core=core,
        kind=kind,
        amount_back=amount_back,
        tax_kept=kept,
        to=to if amount_back else "nobody",
        bill=against,
        on=on,
        entry=entry,
        returned_by=by,
        note=note.strip()[:200],
    )
    told = f"{core.code}: {words}, {amount_back} of {core.amount}."
    record(by=by, action="core.return", subject=core.code, text=told, data={"entry": entry.number})
    return ended


@transaction.atomic
def return_core_of(
    *,
    by: Person,
    item: str,
    store: str,
    amount_back: Money,
    on: date,
    kind: str,
    receipt: str = "",
    **more: Any,
) -> CoreReturn:
    """End the core that a counter took: the one of the receipt presented, else the oldest open one of that part there.

    Which one it was is written into the note. Refuses when none of that part is out at that store.
    """
    core = core_for(item, store, receipt)
    if core is None:
        raise NotReady(f"No core of “{item}” is out at {store}{f' from {receipt}' if receipt else ''}.")
    matched = f"matched to {receipt}" if receipt else "no receipt presented; the oldest of this part"
    note = "; ".join(part for part in (str(more.pop("note", "")).strip(), matched) if part)
    return return_core(by=by, core=core, amount_back=amount_back, on=on, kind=kind, note=note, **more)


@transaction.atomic
def core_paid_late(*, by: Person, core: CoreDeposit, amount: Money, on: date) -> LateCoreRefund:
    """A store pays for a core that had been written off, maybe years ago: what was lost is less, and no income.

    Refuses a core that has not ended, one paid late before, and more than was lost.
    """
    require(by, "core.return")
    hold_books()
    core = CoreDeposit.objects.select_related("store", "returned").get(pk=core.pk)
    ended = CoreReturn.objects.filter(core=core).first()
    if ended is None:
        raise NotReady(f"{core.code} is still out. Write down its return instead.")
    if LateCoreRefund.objects.filter(core=core).exists():
        raise AlreadyDone(f"{core.code} was paid late before. Nothing was posted.")
    lost = core.amount - ended.amount_back - ended.tax_kept
    if not Money.zero < amount <= lost:
        raise BadInput(f"{lost} of {core.code} was lost; {amount} cannot come back of it.")
    if not ended.on <= on <= clock.today():
        raise BadInput(f"{core.code} ended on {ended.on}; its money cannot have come on {on}.")
    text = f"Core {core.code} {core.item} at {core.store}: paid after all"
    lines = [dr(BANK, amount, text=text), cr(CORES_LOST, amount, cost_object=core.cost_object_id, text=text)]
    entry = post(by=by, draft=EntryDraft("core return", on, text, lines, core.code))
    record(by=by, action="core.late", subject=core.code, text=f"{core.code}: {amount} paid after all.")
    return LateCoreRefund.objects.create(core=core, amount=amount, on=on, entry=entry, by=by)


@transaction.atomic
def put_in_box(*, by: Person, core: CoreDeposit, box: str) -> CoreDeposit:
    """Say where the old unit lies until it is brought back. May change as often as the unit is moved."""
    require(by, "core.return")
    core.box = box.strip()[:60]
    core.save(update_fields=["box"])
    record(by=by, action="core.box", subject=core.code, text=f"{core.code} lies in {core.box or 'no place'}.")
    return core
