"""The rows that a second look reads. The database picks and compares; six queries, however many receipts there are."""

from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from fund import clock
from fund.access.models import Person
from fund.access.powers import OWNER, roles_with
from fund.receipts.homes import OWN_POCKET
from fund.receipts.models import CoreDeposit, Receipt, ReceiptLine, ReceiptPortion
from fund.receipts.models_look import LookAnswer
from fund.receipts.rules_counter import VAGUE
from fund.receipts.rules_look import (
    following,
    old_units,
    one_card,
    same_amounts,
    saying_nothing,
    under_limits,
    without_paper,
)
from fund.receipts.rules_look_rows import Limit, Look, OldUnit, Paper, Words, binds
from fund.rulebook.queries import Span, spans
from fund.rulebook.rules import RULES

LIMITS = ("missing_each", "missing_never", "delegate_limit", "owner_limit")


def open_looks(until: date | None = None) -> list[Look]:
    """What is worth a second look and has no answer yet, the latest first; with ``until`` only what was so by that day."""
    answered = set(LookAnswer.objects.values_list("key", flat=True))
    found = [look for look in _all() if look.key not in answered and (until is None or look.on <= until)]
    return sorted(found, key=lambda look: (-look.on.toordinal(), look.key))


def look_for(key: str) -> Look | None:
    """The thing asked under a key, answered or not, or None when its papers give no cause any more."""
    return next((look for look in _all() if look.key == key), None)


def answers() -> QuerySet[LookAnswer]:
    return LookAnswer.objects.select_related("by")


def answers_about(codes: Sequence[str], kind: str) -> QuerySet[LookAnswer]:
    """Answers of the same kind about any of these papers, the latest first."""
    about = Q()
    for code in codes[:40]:
        about |= Q(codes__contains=code)
    return answers().filter(about, kind=kind) if codes else answers().none()


def _all() -> list[Look]:
    rules = spans((*LIMITS, "missing_quarter"))
    limits = [
        Limit(name, RULES[name].words, span.value, span.since, span.until)
        for name in LIMITS
        for span in rules[name]
    ]
    papers = _papers(limits)
    return [
        *under_limits(papers, limits),
        *following(papers),
        *saying_nothing(_vague_lines()),
        *without_paper(papers, _number_on(rules["missing_quarter"])),
        *same_amounts(papers),
        *one_card(papers),
        *old_units(_old_units(), clock.today()),
    ]


def _number_on(rule: Sequence[Span]) -> Callable[[date], int]:
    return lambda day: next(int(span.value) for span in rule if span.since <= day < span.until)


def _papers(limits: Sequence[Limit]) -> list[Paper]:
    """Posted receipts with any cause for a second look: near a limit, lost, or with another like them."""
    deciders = Person.objects.filter(pk=OuterRef("buyer"), groups__name__in=roles_with("repair.approve"))
    decides = Exists(deciders.exclude(groups__name=OWNER))
    posted = Receipt.objects.filter(state="posted")
    other = posted.exclude(pk=OuterRef("pk"))
    twin = other.filter(supplier=OuterRef("supplier"), on=OuterRef("on"), total=OuterRef("total"))
    beside = posted.filter(
        Q(serial=OuterRef("serial") + 1) | Q(serial=OuterRef("serial") - 1),
        supplier=OuterRef("supplier"),
        series=OuterRef("series"),
    ).exclude(buyer=OuterRef("buyer"))
    cards = posted.exclude(card_last4="").filter(card_last4=OuterRef("card_last4"))
    called_own, called_funds = cards.filter(tender__in=OWN_POCKET), cards.filter(tender="fund_card")
    cause = (
        _near(limits)
        | Q(missing=True)
        | Q(Exists(twin))
        | Q(Exists(beside), serial__isnull=False)
        | Q(Exists(called_own), ~Q(card_last4=""), tender="fund_card")
        | Q(Exists(called_funds), ~Q(card_last4=""), tender__in=OWN_POCKET)
    )
    rows = posted.annotate(decides=decides).filter(cause).select_related("supplier", "buyer")
    return [_paper(row) for row in rows.order_by("on", "code")]


def _near(limits: Sequence[Limit]) -> Q:
    near = Q(pk__in=[])
    for limit in limits:
        one = Q(on__gte=limit.since, on__lt=limit.until, total__gte=limit.low, total__lte=limit.value)
        who = {missing: binds(limit.name, missing=missing, decides=False) for missing in (True, False)}
        if not who[False]:
            one &= Q(missing=True) if who[True] else Q(decides=True)
        near |= one
    return near


def _paper(row: Any) -> Paper:
    return Paper(
        code=row.code, on=row.on, store=row.supplier.name, number=row.number, series=row.series, serial=row.serial,
        total=row.total, tender=row.tender, last4=row.card_last4, missing=row.missing, buyer=row.buyer_id,
        name=row.buyer.label, approved_by=row.approved_by_id, decides=row.decides, said=row.duplicate_reason,
    )  # fmt: skip


def _vague_lines() -> list[Words]:
    bought = ReceiptPortion.objects.filter(line=OuterRef("pk")).exclude(home="personal")
    rows = ReceiptLine.objects.filter(Exists(bought), receipt__state="posted", text__iregex=VAGUE)
    rows = rows.select_related("receipt__supplier", "receipt__buyer").order_by("receipt__code", "ordinal")
    return [
        Words(
            row.receipt.code, row.receipt.on, row.receipt.supplier.name, row.text, row.amount, row.receipt.buyer_id,
            row.receipt.buyer.label,
        )
        for row in rows
    ]  # fmt: skip


def _old_units() -> list[OldUnit]:
    late = CoreDeposit.objects.filter(returned=None, due_on__lt=clock.today())
    found = []
    for core in late.select_related("store", "portion__line__receipt__buyer"):
        buyer = core.portion.line.receipt.buyer
        found.append(
            OldUnit(core.code, core.item, core.store.name, core.amount, core.due_on, buyer.pk, buyer.label)
        )
    return found
