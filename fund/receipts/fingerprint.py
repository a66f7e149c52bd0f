"""What a draft says, in one short text: the form carries it, so that nobody saves over what somebody else wrote meanwhile."""

import hashlib
import json

from fund.receipts.models import Receipt, ReceiptPortion
from fund.refusal import AlreadyDone
from fund.trail.models import TrailLine

HEAD = (
    "supplier", "number", "on", "at_time", "total", "tax", "tender", "buyer", "card_last4", "state", "photo", "note",
    "duplicate_reason", "late_reason", "freight", "discount", "credit_used", "missing", "missing_how", "witness",
)  # fmt: skip
LINE = ("ordinal", "text", "quantity", "unit", "amount", "taxable", "condition")
PART = ("line__ordinal", "home", "cost_object", "quantity", "amount")


def fingerprint(receipt: Receipt) -> str:
    """Of a receipt as it is in the database: the same for the same content, whenever its rows were written. Three queries."""
    said = [
        list(Receipt.objects.filter(pk=receipt.pk).values_list(*HEAD)),
        list(receipt.lines.order_by("ordinal").values_list(*LINE)),
        list(
            ReceiptPortion.objects.filter(line__receipt=receipt)
            .order_by("line__ordinal", "pk")
            .values_list(*PART)
        ),
    ]
    return hashlib.sha256(json.dumps(said, default=str).encode()).hexdigest()[:24]


class ChangedMeanwhile(AlreadyDone):
    """Somebody saved the draft after the page was opened that would be saved now."""


def refuse_unseen(receipt: Receipt, seen: str | None) -> None:
    """Refuse to post a draft that says something else than the page did. ``seen`` None: it is posted from no page."""
    if seen is not None and seen != fingerprint(receipt):
        raise ChangedMeanwhile(
            f"{who_changed(receipt)} changed {receipt.code} after this page was opened. Nothing was posted; "
            "read it as it is now, then post it."
        )


def who_changed(receipt: Receipt) -> str:
    """The name of who saved it last."""
    last = TrailLine.objects.filter(subject=receipt.code, action__in=("receipt.draft", "receipt.photo"))
    found = last.select_related("by").first()
    return found.by.label if found and found.by else "Somebody"


def changed_meanwhile(receipt: Receipt) -> ChangedMeanwhile:
    """The refusal to save over what somebody else wrote meanwhile."""
    return ChangedMeanwhile(
        f"{who_changed(receipt)} changed {receipt.code} after this page was opened. "
        "Nothing was saved over it; what you typed is still below."
    )
