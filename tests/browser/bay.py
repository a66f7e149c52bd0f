"""A repair in the bay whose fault comes and goes: ``python -m tests.browser.bay`` in a server's environment."""

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
    from jobs.approvals.actions import approve
    from jobs.estimates.models_types import JobType
    from jobs.repairs.actions import set_correction
    from jobs.repairs.actions_steps import start_work
    from tests.jobs.workshop import money_in_bank, part, ready

    maren, odell, ines, tavi = (
        Person.objects.get(username=name) for name in ("maren", "odell", "ines", "tavi")
    )
    with clock.at(DAY):
        money_in_bank(odell, 5_000_00)
        order = ready(
            ines, tavi, maren, part(170_00, "hose kit and coolant"), mechanic=tavi, job_type="Cooling system",
            complaint="Overheats after 25 minutes", intermittent=True, owner_minutes_to_failure=25,
        )  # fmt: skip
        order.typical_job = JobType.objects.get(code="water-pump")
        order.save()
        approve(by=maren, repair=order)
        start_work(by=tavi, repair=order)
        portions = [PortionInput("fluid", order.cost_object_id, 9000), PortionInput("shelf")]
        line = LineInput("coolant", Money(113_88), portions, quantity=12_000, unit="quart", condition="new")
        data = ReceiptInput(
            "Gantry Parts", "30412", DAY, Money(113_88), Money.zero, "own_money", tavi, [line]
        )
        post_receipt(by=tavi, receipt=save_draft(by=tavi, data=data))
        set_correction(by=tavi, repair=order, correction="Hose kit and coolant replaced, system bled")


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    main()
