"""A repair order just opened, nobody has walked round it: ``python -m tests.browser.door`` in a server's environment."""

import os
from datetime import date

DAY = date(2026, 3, 15)


def main() -> None:
    import django

    django.setup()
    from fund import clock
    from fund.access.models import Person
    from jobs.repairs.actions import open_repair
    from jobs.vehicles.actions import add_vehicle
    from tests.jobs.workshop import OWN_FOR_YEARS, eligible

    ines, tavi = (Person.objects.get(username=name) for name in ("ines", "tavi"))
    with clock.at(DAY):
        for name in ("First", "Second", "Third"):
            application = eligible(ines, f"{name} of the tests")
            vehicle = add_vehicle(
                by=tavi,
                household=application.household,
                year=2011,
                vehicle_class="sedan",
                mileage=148_000,
                standing=OWN_FOR_YEARS,
            )
            open_repair(by=tavi, application=application, vehicle=vehicle, complaint="Stalls when hot")


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    main()
