"""What the close list tells of receipts worth a second look, and of those without a photo. It never stops a close."""

from datetime import date

from fund.receipts.models import Receipt
from fund.receipts.queries_look import open_looks
from reports.month.rules_close import Stop, many


def look_stops(end: date) -> list[Stop]:
    found = open_looks(end)
    if not found:
        return []
    kinds = list(dict.fromkeys(look.what for look in found))
    text = (
        f"{many(len(found), 'thing', 'things')} about receipts until {end} would be asked by an auditor: {'; '.join(kinds)}."
        " The reason is written down by somebody it does not concern."
    )
    who = "the owner, the treasurer or the accountant"
    return [Stop("second look", text, who, False, "/crew/receipts/second-look/")]


def photo_stops(end: date) -> list[Stop]:
    """Receipts in the books without a photo, oldest first. One approved as lost has its own signature and is not chased."""
    bare = Receipt.objects.filter(state="posted", photo=None, missing=False, on__lte=end).order_by(
        "on", "code"
    )
    codes = list(bare.values_list("code", flat=True))
    if not codes:
        return []
    named = ", ".join(codes[:5]) + (f" and {len(codes) - 5} more" if len(codes) > 5 else "")
    text = (
        f"{many(len(codes), 'receipt has', 'receipts have')} no photo: {named}."
        " Put it to the receipt while the paper is at hand."
    )
    return [
        Stop(
            "no photo",
            text,
            "who bought it, or the treasurer",
            False,
            "/crew/receipts/?state=posted&photo=no",
        )
    ]
