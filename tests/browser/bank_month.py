"""A March of the bank for a server: ``python -m tests.browser.bank_month`` in its environment, through the real actions."""

import os
from datetime import date


def main() -> None:
    import django

    django.setup()
    from fund import clock
    from fund.access.models import Person
    from fund.gifts.actions import add_supporter, record_gift
    from fund.ledger import chart
    from fund.ledger.actions_hand import post_by_hand
    from fund.ledger.rules import cr, dr
    from fund.money import Money

    odell = Person.objects.get(username="odell")
    with clock.at(date(2026, 3, 30)):
        for name, minor, day in (
            ("Ada Moss", 900_00, 2),
            ("Anwen Pell", 40_00, 9),
            ("Wren Tully", 60_00, 10),
        ):
            giver = add_supporter(by=odell, name=name)
            on = date(2026, 3, day)
            record_gift(by=odell, kind="transfer", received_on=on, amount=Money(minor), supporter=giver)
        rent = [dr(chart.ADMIN, Money(45_00)), cr(chart.BANK, Money(45_00))]
        post_by_hand(by=odell, day=date(2026, 3, 27), text="Check 1042 to the hall", lines=rent)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    main()
