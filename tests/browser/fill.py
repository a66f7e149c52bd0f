"""One of everything for a server: ``python -m tests.browser.fill`` in its environment; prints the pages as JSON.

Gives the crew all roles first, so that one sign-in sees every page.
"""

import json
import os
import sys


def main() -> None:
    import django

    django.setup()
    from django.contrib.auth.models import Group

    from fund.access.models import Person
    from tests.house import samples
    from tests.reports.month.march import Crew

    people = [Person.objects.get(username=name) for name in ("maren", "odell", "ines", "tavi", "jun")]
    samples.live(Crew(*people))
    people[0].groups.set(Group.objects.all())
    json.dump(samples.paths(), sys.stdout)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    main()
