from fund.ledger.lock import hold_books
from jobs.repairs.models import RepairOrder


def hold(repair: RepairOrder) -> RepairOrder:
    """Read the repair order anew and hold its row until the transaction ends.

    The books come first: every action that may touch both takes the two locks in this order, so that no
    two of them can wait for each other.
    """
    hold_books()
    repair.refresh_from_db(from_queryset=RepairOrder.objects.select_for_update())
    return repair
