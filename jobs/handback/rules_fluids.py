"""Which kinds of fluid stand in the cost of a repair, and which of them a road test says nothing about. No database here."""

import re
from collections.abc import Iterable, Sequence

from jobs.handback.rules_proof import FLUIDS, NONE, FluidDraft

# Words of counters and labels, looked for in this order; what matches none is a fluid of an unknown kind.
_SAYS = (
    ("steering", r"steering"),
    ("brake", r"brake fluid|\bdot ?[345]\b"),
    ("axle", r"gear oil|axle|differential|\b[78]\dw-?\d"),
    ("transmission", r"transmission|\batf\b|\bcvt\b"),
    ("coolant", r"coolant|antifreeze|anti-freeze"),
    ("engine oil", r"engine oil|motor oil|\b\d{1,2}w-?\d{2}\b"),
)


def kinds_in(texts: Iterable[str]) -> list[str]:
    """The kinds of fluid that lines of receipts and shelf name, in the order of ``FLUIDS``."""
    found = {kind for text in texts for kind in [_kind(text.lower())] if kind}
    return [kind for kind in FLUIDS if kind in found]


def _kind(text: str) -> str:
    return next((kind for kind, says in _SAYS if re.search(says, text)), "")


def not_told(kinds: Sequence[str], drafts: Sequence[FluidDraft]) -> list[str]:
    """A sentence for each kind in the cost that no line of the road test is about."""
    told = {draft.fluid for draft in drafts}
    return [
        f"{FLUIDS[kind]} is in the cost of this repair. Write how much went in and its level after the drive, or that none "
        "of it went in."
        for kind in kinds
        if kind not in told
    ]


def none_with_figures(drafts: Sequence[FluidDraft]) -> list[str]:
    """A line cannot say that none went in and give quarts."""
    return [
        f"{FLUIDS[draft.fluid]}: either none of it went in, or write the quarts and the level."
        for draft in drafts
        if draft.level == NONE and draft.fluid in FLUIDS and (draft.put_in or draft.added or draft.out)
    ]
