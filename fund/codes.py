"""From a code that people read out to each other (R-00007, RO-0004) to the page of what it names. Pure but for the address.

The longest fitting prefix wins, so that RO-0004 is a repair order and not a receipt.
"""

import re

from django.urls import reverse

PAGES = {
    "S-": "gifts:supporter",
    "G-": "gifts:gift",
    "C-": "gifts:count",
    "D-": "gifts:deposit",
    "R-": "receipts:receipt",
    "B-": "receipts:claim",
    "K-": "shelf:core",
    "L-": "shelf:lot",
    "P-": "repayments:payment",
    "AD-": "repayments:advance",
    "F-": "attachments:file",
    "H-": "households:household",
    "A-": "intake:request",
    "RO-": "repairs:repair",
    "T-": "hours:row",
}
_SHAPE = re.compile(r"([A-Z]{1,2}-)(\d{1,9})")
_ENTRY = re.compile(r"(?:entry )?(\d{1,18})", re.IGNORECASE)


def address_of(text: str) -> str | None:
    """The address of a code or entry number, however it was typed ("ro-4" will not do, "ro-0004" will), or None."""
    words = text.strip()
    if entry := _ENTRY.fullmatch(words):
        return reverse("ledger:entry", args=[int(entry[1])])
    code = _SHAPE.fullmatch(words.upper())
    if code is None or code[1] not in PAGES:
        return None
    return reverse(PAGES[code[1]], args=[code[0]])
