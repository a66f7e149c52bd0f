"""Platforms and the layouts of their files."""

from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.models import Layout, Platform
from fund.gifts.rules import PLATFORM_KINDS
from fund.gifts.rules_layout import LayoutSpec, check_layout
from fund.ledger.chart import CLEARING
from fund.ledger.lock import hold_books
from fund.ledger.models import Account
from fund.refusal import AlreadyDone, BadInput
from fund.trail.actions import record


@transaction.atomic
def add_platform(*, by: Person | None, code: str, name: str, kind: str, account: str) -> Platform:
    """Take up a platform with its own clearing account (a sub-account of 1030). `by` None: the program itself.

    Refuses a code in use, an unknown kind, an account that is not for clearing or belongs to another platform.
    """
    if by is not None:
        require(by, "gift.layout")
    hold_books()
    if Platform.objects.filter(code=code).exists():
        raise AlreadyDone(f"There is already a platform “{code}”.")
    if kind not in PLATFORM_KINDS:
        raise BadInput(f"“{kind}” is neither a membership platform nor a card processor.")
    clearing = Account.objects.filter(code=account, parent_id=CLEARING).first()
    if clearing is None:
        raise BadInput(f"Account {account} is not a clearing account.")
    if Platform.objects.filter(account=clearing).exists():
        raise BadInput(f"Account {account} already clears another platform; each has its own.")
    platform = Platform.objects.create(code=code, name=name, kind=kind, account=clearing)
    record(
        by=by, action="platform.add", subject=code, text=f"New platform {name}, clearing account {account}."
    )
    return platform


@transaction.atomic
def save_layout(*, by: Person | None, platform: Platform, spec: LayoutSpec) -> Layout:
    """Save how a platform's file is read; the same name replaces what was saved before.

    `by` None: the program itself. Refuses a layout that could not read a file (:func:`check_layout`) and a name
    that another platform's layout has. Files already posted keep what they posted.
    """
    if by is not None:
        require(by, "gift.layout")
    hold_books()
    if not spec.name.strip():
        raise BadInput("Give the layout a name.")
    check_layout(spec)
    other = Layout.objects.filter(name=spec.name).exclude(platform=platform).first()
    if other:
        raise BadInput(f"The name “{spec.name}” is taken by a layout of {other.platform.name}.")
    layout, _ = Layout.objects.update_or_create(
        name=spec.name,
        defaults={
            "platform": platform,
            "columns": dict(spec.columns),
            "fees": dict(spec.fees),
            "words": dict(spec.words),
            "purposes": dict(spec.purposes),
            "ignored": list(spec.ignored),
            "hidden_words": list(spec.hidden_words),
            "date_order": spec.date_order,
            "decimal_mark": spec.decimal_mark,
            "delimiter": spec.delimiter,
            "encoding": spec.encoding,
            "signs": spec.signs,
            "home_currency": spec.home_currency,
        },
    )
    text = f"Layout “{spec.name}” of {platform.name} saved."
    record(by=by, action="layout.save", subject=spec.name, text=text)
    return layout
