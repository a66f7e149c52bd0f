"""A vehicle checked in and coolant on the shelf: ``python -m tests.browser.undecided`` in a server's environment."""

import os
from datetime import date

DAY = date(2026, 3, 15)


def main() -> None:
    import django

    django.setup()
    from fund import clock
    from fund.access.models import Person
    from fund.money import Money
    from fund.receipts.actions import post_receipt, save_draft
    from fund.receipts.rules import LineInput, PortionInput, ReceiptInput
    from jobs.approvals.actions_relations import answer_relation
    from tests.jobs.workshop import checked_in, eligible, money_in_bank

    odell, ines, tavi = (Person.objects.get(username=name) for name in ("odell", "ines", "tavi"))
    with clock.at(DAY):
        money_in_bank(odell, 2_000_00)
        order = checked_in(tavi, eligible(ines), mechanic=tavi, complaint="Loses coolant")
        answer_relation(by=tavi, repair=order, tie=False)
        line = LineInput(
            "Coolant, universal", Money(30_82), [PortionInput("shelf")], quantity=3_000, unit="quart"
        )
        data = ReceiptInput("Gantry Parts", "30412", DAY, Money(30_82), Money.zero, "own_money", tavi, [line])
        post_receipt(by=tavi, receipt=save_draft(by=tavi, data=data))


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    main()
