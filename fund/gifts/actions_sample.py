"""A layout made on screen from a file: the file is kept, guessed at, read as the person says, and the layout saved."""

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.actions_layouts import save_layout
from fund.gifts.actions_payout import keep_file
from fund.gifts.models import Layout, LayoutSample, PayoutFile, Platform
from fund.gifts.rules_guess import read_sample
from fund.gifts.rules_layout import LayoutSpec
from fund.gifts.rules_reading import MAX_BYTES, size_sentence
from fund.ledger.lock import hold_books
from fund.refusal import AlreadyDone, BadInput
from fund.trail.actions import record


@transaction.atomic
def keep_sample(*, by: Person, data: bytes, filename: str) -> LayoutSample:
    """Keep a file from which a layout is to be made. Refuses what is no table of text, or too large to be posted."""
    require(by, "gift.layout")
    if len(data) > MAX_BYTES:
        raise BadInput(size_sentence(len(data)))
    read_sample(data)
    name = filename.replace("\\", "/").rsplit("/", 1)[-1][:200] or "payout.csv"
    return LayoutSample.objects.create(name=name, data=data, by=by, at=clock.now())


@transaction.atomic
def save_from_sample(*, by: Person, sample: LayoutSample, platform: Platform, spec: LayoutSpec) -> PayoutFile:
    """Save the layout and keep the file for its preview, so that it can be posted at once. The sample goes.

    Refuses a name that is taken, a layout that could read no file, and one that cannot read this one.
    """
    require(by, "gift.layout")
    hold_books()
    if Layout.objects.filter(name=spec.name).exists():
        raise AlreadyDone(f"There is a layout “{spec.name}” already. Choose another name.")
    layout = save_layout(by=by, platform=platform, spec=spec)
    file = keep_file(by=by, data=bytes(sample.data), filename=sample.name, layout=layout)
    sample.delete()
    return file


@transaction.atomic
def drop_sample(*, by: Person, sample: LayoutSample) -> str:
    """Drop a file from which no layout was made; gives its name."""
    require(by, "gift.layout")
    name = sample.name
    sample.delete()
    record(by=by, action="layout.drop", subject=name[:60], text=f"{name} was dropped, no layout made of it.")
    return name
