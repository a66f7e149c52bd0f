from django.db import connection

from fund.ledger.models import Purpose


def hold_books() -> None:
    """Let nobody else post, promise or close until this transaction ends.

    PostgreSQL: the row of the general purpose is locked. SQLite: the transaction itself is IMMEDIATE, so there is only
    ever one writer. Must run inside a transaction.
    """
    if not connection.in_atomic_block:
        raise RuntimeError("the books can only be held inside a transaction")
    if connection.vendor == "postgresql":
        list(Purpose.objects.select_for_update().filter(code="general").values_list("code"))
