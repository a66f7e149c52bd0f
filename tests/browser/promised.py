"""A repair approved for 400.00, 120.00 of it spent, and a paper that runs over: ``python -m tests.browser.promised``.

Runs in a server's environment, on the day its test begins.
"""

import os
from datetime import date

DAY = date(2026, 3, 15)


def main() -> None:
    import django

    django.setup()
    from fund import clock
    from fund.access.models import Person
    from fund.receipts.actions import post_receipt
    from jobs.approvals.actions import approve
    from jobs.repairs.actions_steps import start_work
    from tests.jobs.approvals.booked import draft_of
    from tests.jobs.workshop import money_in_bank, part, ready

    maren, odell, ines, tavi = (
        Person.objects.get(username=name) for name in ("maren", "odell", "ines", "tavi")
    )
    with clock.at(DAY):
        money_in_bank(odell, 5_000_00)
        order = ready(ines, tavi, maren, part(400_00, "wheel bearing and hub"), mechanic=tavi)
        approve(by=maren, repair=order)
        start_work(by=tavi, repair=order)
        post_receipt(by=tavi, receipt=draft_of(tavi, order, "120.00", text="wheel bearing"))
        draft_of(tavi, order, "437.00", text="hub and axle nut", number="2")


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    main()
