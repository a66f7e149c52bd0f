"""What a statement and the papers say of each other, in sentences. Pure."""

from fund.money import Money
from fund.receipts.rules_statement import Compared


def unexplained(found: Compared) -> list[str]:
    """One sentence for each thing that does not agree, the sum first."""
    told = []
    if found.apart > Money.zero:
        told.append(
            f"Find the missing {found.apart} before it is paid: the papers here add up to {found.papers}."
        )
    elif found.apart < Money.zero:
        told.append(f"The papers here are {-found.apart} more than the statement: {found.papers}.")
    told += [f"On the statement, no paper here: {row.words}." for row in found.only_there]
    told += [
        f"{paper.code}: the statement says {row.amount}, the paper {paper.left}."
        for row, paper in found.differ
    ]
    if found.same or found.only_there or found.differ:
        told += [
            f"{paper.code} of {paper.on}, {paper.left}, is not on the statement." for paper in found.only_here
        ]
    return told


def question_text(found: Compared) -> str:
    """What is kept of a comparison for the store to answer."""
    return " ".join(unexplained(found))
