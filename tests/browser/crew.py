"""Gives an empty book its crew, through the real actions: ``python -m tests.browser.crew`` in the server's environment."""

import os

PASSWORD = "four rusty calipers"
FIRST_PASSWORD = "until the first evening"
PEOPLE = (
    ("maren", "Maren", "Holt", "owner"),
    ("odell", "Odell", "Price", "treasurer"),
    ("ines", "Ines", "Moreau", "screener"),
    ("tavi", "Tavi", "Brandt", "volunteer"),
    ("jun", "Jun", "Okafor", "volunteer"),
    ("petra", "Petra", "Lindqvist", "accountant"),
)


def main() -> None:
    import django

    django.setup()
    from fund.access.actions import add_person, found_crew
    from fund.access.actions_password import change_own_password

    owner, *others = PEOPLE
    maren = found_crew(
        username=owner[0], first_name=owner[1], last_name=owner[2], password=PASSWORD, roles=[owner[3]]
    )
    for username, first, last, role in others:
        person = add_person(
            by=maren,
            username=username,
            first_name=first,
            last_name=last,
            password=FIRST_PASSWORD,
            roles=[role],
        )
        change_own_password(by=person, old=FIRST_PASSWORD, new=PASSWORD)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    main()
