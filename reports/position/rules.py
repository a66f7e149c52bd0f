"""The one answer of the position a program may read. Pure."""

from typing import Any

from fund.commitments.rules import Position


def as_json(position: Position) -> dict[str, Any]:
    """Whole minor units; ``subtractions`` in the order they are taken off, so that they add up from bank to free."""
    return {
        "month": position.month,
        "on": position.on.isoformat(),
        "bank": position.bank.minor,
        "free_to_commit": position.free_to_commit.minor,
        "restricted": position.restricted.minor,
        "reserve": position.reserve.minor,
        "committed": position.committed.minor,
        "subtractions": [
            {"label": item.label, "amount": item.amount.minor} for item in position.subtractions
        ],
        "beside": {
            "petty_cash": position.petty_cash.minor,
            "undeposited": position.undeposited.minor,
            "clearing": position.clearing.minor,
        },
    }
