"""What a return and a settlement will do, in sentences, before it is done: question, lines, words of the button."""

from typing import Any

from fund.receipts.in_cost import in_cost
from fund.receipts.models import ReceiptPortion
from fund.receipts.models_returns import Claim, ClaimSettlement
from fund.receipts.quantities import quantity_words
from fund.receipts.rules_returns import cost_of_return, left_of_claim

Asked = tuple[str, list[str], str]


def what_going_back_does(portion: ReceiptPortion, cleaned: dict[str, Any]) -> Asked:
    """``cleaned`` as of the form for a part that goes back."""
    line, way = portion.line, cleaned["way"]
    if way == "rebate":
        return (
            f"{cleaned['amount']} came for {line.text}?",
            ["The cost of the part is that much less."],
            "Book it",
        )
    words = quantity_words(cleaned["quantity"], line.unit)
    if way == "replaced":
        return (
            f"{words} of {line.text} exchanged at no charge?",
            ["The quantity is kept; nothing is booked."],
            "Keep it",
        )
    amount = cost_of_return(cleaned["quantity"], in_cost(portion), line.text)
    repair = (
        f"{portion.cost_object_id} costs {amount} less."
        if portion.cost_object_id
        else f"The cost is {amount} less."
    )
    if way == "shelf":
        return (
            f"{words} of {line.text} onto the shelf?",
            [f"It lies there at {amount}.", repair],
            "Put it there",
        )
    store = line.receipt.supplier
    return (
        f"{words} of {line.text} back to {store}?",
        [f"{store} owes the fund {amount}.", repair],
        "Bring it back",
    )


def what_settling_does(claim: Claim, cleaned: dict[str, Any]) -> Asked:
    amount = cleaned["amount"]
    left = left_of_claim(claim.amount, [row.amount for row in claim.settlements.all()], amount, claim.code)
    how = dict(ClaimSettlement.KINDS)[cleaned["kind"]]
    after = f"{left} of {claim.code} is open then." if left else f"{claim.code} has ended then."
    return (
        f"{amount} {how}?",
        [after, "The cost of the repair does not move, unless a warranty is refused."],
        "Book it",
    )
