"""Who acts when a command runs: a crew member named by the name they sign in with."""

from django.core.management.base import CommandError, CommandParser

from fund.access.guards import may
from fund.access.models import Person
from fund.access.powers import POWERS


def add_person(parser: CommandParser, flag: str, power: str, words: str) -> None:
    parser.add_argument(
        flag,
        metavar="USERNAME",
        help=f"{words}; may be left out when only one person may {POWERS[power].words}",
    )


def crew(username: str | None, power: str) -> Person:
    """The person named, or the only active one with the power when nobody is named. Ends the command with 2 (wrongly
    called) when that is nobody or not clear: what is missing is in the call, not in the books."""
    if username:
        person = Person.objects.filter(username=username, is_active=True).first()
        if person is None:
            raise CommandError(f"Nobody of the crew signs in as “{username}”.", returncode=2)
        return person
    able = [person for person in Person.objects.filter(is_active=True) if may(person, power)]
    if len(able) != 1:
        names = ", ".join(sorted(person.username for person in able)) or "nobody"
        words = f"Say who acts with --by; those who may {POWERS[power].words}: {names}."
        raise CommandError(words, returncode=2)
    return able[0]
