"""Where a supporter stands besides their own record: words about them that can go, and records that keep a name."""

import re
from collections.abc import Sequence

from django.db.models import Model, Q, QuerySet, TextField
from django.db.models.functions import Cast

from fund.bank.models import StatementLine
from fund.gifts.models import (
    CashCount,
    Deposit,
    Gift,
    GiftCorrection,
    GiftException,
    GiftReturn,
    GiftSettlement,
    HeldCheck,
    Loan,
    LoanMove,
    Pledge,
    RestrictionChange,
    Supporter,
    SupporterMerge,
)
from fund.gifts.rules import GOODS
from fund.ledger.models import Entry
from fund.sent.models import SentForm
from fund.trail.models import TrailLine

ERASED = "erased on request"
SHORTEST = 3  # a shorter name or address would be found in any text


def forget_words(everyone: Sequence[Supporter]) -> None:
    """Take away what was typed about these supporters' gifts, checks, pledges, loans and mergings.

    What was given in goods stays said, without their names. Call it before the names are gone.
    """
    mine, of_gift = Gift.objects.filter(supporter__in=everyone), Q(gift__supporter__in=everyone)
    mine.exclude(terms="").update(terms=ERASED)
    mine.exclude(kind=GOODS).update(note="")
    written: tuple[tuple[QuerySet[Model], str], ...] = (
        (GiftCorrection.objects.filter(of_gift), "reason"),
        (GiftSettlement.objects.filter(of_gift), "words"),
        (GiftReturn.objects.filter(of_gift), "reason"),
        (GiftReturn.objects.filter(of_gift), "decided_words"),
        (RestrictionChange.objects.filter(of_gift), "words"),
        (HeldCheck.objects.filter(supporter__in=everyone), "note"),
        (HeldCheck.objects.filter(supporter__in=everyone), "handed_back_why"),
        (Pledge.objects.filter(supporter__in=everyone), "words"),
        (Pledge.objects.filter(supporter__in=everyone), "ended_why"),
        (Loan.objects.filter(lender__in=everyone), "words"),
        (LoanMove.objects.filter(loan__lender__in=everyone), "words"),
        (SupporterMerge.objects.filter(Q(kept__in=everyone) | Q(gone__in=everyone)), "reason"),
        (SupporterMerge.objects.filter(Q(kept__in=everyone) | Q(gone__in=everyone)), "undone_reason"),
    )
    for rows, name in written:
        rows.exclude(**{name: ""}).update(**{name: ERASED})
    named: tuple[tuple[QuerySet[Model], str], ...] = (
        (mine.filter(kind=GOODS), "note"),
        (GiftException.objects.filter(gifts__supporter__in=everyone), "text"),
        (GiftException.objects.filter(gifts__supporter__in=everyone), "resolution"),
        (Deposit.objects.all(), "note"),
        (CashCount.objects.all(), "note"),
        (SentForm.objects.all(), "words"),
    )
    for rows, name in named:
        _unname(rows, name, everyone)


def _names(everyone: Sequence[Supporter]) -> dict[str, str]:
    """Name and e-mail of each of them to their code, the longest first."""
    told = {
        text: one.code
        for one in everyone
        for text in (one.name, one.email)
        if len(text) >= SHORTEST and text != one.code
    }
    return dict(sorted(told.items(), key=lambda item: -len(item[0])))


def _holding(names: Sequence[str], *fields: str) -> Q:
    found = Q(pk__in=[])
    for name in names:
        for field in fields:
            found |= Q(**{f"{field}__icontains": name})
    return found


def _unname(rows: QuerySet[Model], field: str, everyone: Sequence[Supporter]) -> None:
    names = _names(everyone)
    for row in rows.filter(_holding(list(names), field)).distinct():
        text = getattr(row, field)
        for name, code in names.items():
            text = re.sub(re.escape(name), code, text, flags=re.IGNORECASE)
        setattr(row, field, text)
        row.save(update_fields=[field])


def what_stays(supporter: Supporter) -> list[str]:
    """Sentences on the records that nobody can change and that hold the name or e-mail; empty if none does. Three queries."""
    names = list(_names([supporter, *supporter.merged.all()]))
    trail = TrailLine.objects.annotate(said=Cast("data", TextField()))
    counted = (
        ("of the trail", trail.filter(_holding(names, "text", "said")).count()),
        ("of the ledger", Entry.objects.filter(_holding(names, "text", "lines__text")).distinct().count()),
        ("of the bank's statements", StatementLine.objects.filter(_holding(names, "name", "text")).count()),
    )
    kinds = {"of the ledger": ("entry", "entries")}
    told = []
    for where, many in counted:
        one, more = kinds.get(where, ("line", "lines"))
        if many:
            told.append(f"{many} {one if many == 1 else more} {where}")
    if not told:
        return []
    listed = ", ".join(told[:-1]) + (" and " if told[:-1] else "") + told[-1]
    return [f"The name stays in {listed}: what is written there cannot be changed by anybody."]
