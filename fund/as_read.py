"""What stood on the page from which a decision is made: a yes counts for that and for nothing else."""

import hashlib
import json
from collections.abc import Sequence

from fund.refusal import NotReady


def mark(*facts: str | int) -> str:
    """A short fingerprint of facts in their order."""
    return hashlib.sha256(json.dumps(facts, ensure_ascii=False).encode()).hexdigest()[:32]


def refuse_unread(read: str | None, now: str, words: str, details: Sequence[str] = ()) -> None:
    """Refuse a decision made from a page that shows something else. ``read`` None: it was made from no page.

    ``details``: what stands now, line by line, where the page does not show it beside what was typed.
    """
    if read is not None and read != now:
        raise NotReady(words, list(details))
