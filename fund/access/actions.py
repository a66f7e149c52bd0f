from collections.abc import Sequence

from django.contrib.auth.models import Group
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.access.powers import ROLES
from fund.refusal import AlreadyDone, BadInput
from fund.trail.actions import record


def install_roles() -> None:
    """Make the groups of the powers table. Can be run again."""
    for role in ROLES:
        Group.objects.get_or_create(name=role)


def _new_person(
    username: str,
    first_name: str,
    last_name: str,
    password: str,
    roles: Sequence[str],
    first_password: bool = False,
) -> Person:
    unknown = [role for role in roles if role not in ROLES]
    if unknown or not roles:
        raise BadInput(f"Choose at least one role out of {', '.join(ROLES)}.")
    if Person.objects.filter(username__iexact=username).exists():
        raise AlreadyDone(
            f"There is already a crew member who signs in as “{username}”. Choose another sign-in name."
        )
    person = Person(
        username=username, first_name=first_name, last_name=last_name, first_password=first_password
    )
    try:
        validate_password(password, person)
        person.set_password(password)
        person.full_clean()
    except ValidationError as error:
        raise BadInput(" ".join(error.messages)) from error
    person.save()
    person.groups.set(Group.objects.filter(name__in=roles))
    return person


@transaction.atomic
def found_crew(
    *, username: str, first_name: str, last_name: str, password: str, roles: Sequence[str]
) -> Person:
    """The first person of an empty book, who has nobody to be added by. Refused once there is one."""
    if Person.objects.exists():
        raise AlreadyDone("The crew already has members. An owner adds the next one.")
    install_roles()
    person = _new_person(username, first_name, last_name, password, roles)
    record(
        by=person,
        action="people.found",
        subject=username,
        text=f"{person.label} opened the book as {', '.join(roles)}.",
    )
    return person


@transaction.atomic
def add_person(
    *, by: Person, username: str, first_name: str, last_name: str, password: str, roles: Sequence[str]
) -> Person:
    """A further crew member, who changes this first password before anything else.

    Refuses unknown roles and a taken sign-in name.
    """
    require(by, "people.manage")
    person = _new_person(username, first_name, last_name, password, roles, first_password=True)
    record(by=by, action="people.add", subject=username, text=f"{person.label} joined as {', '.join(roles)}.")
    return person


@transaction.atomic
def set_roles(*, by: Person, person: Person, roles: Sequence[str], active: bool = True) -> Person:
    """Change what a person may do, or end their access (``active=False``)."""
    require(by, "people.manage")
    if by.pk == person.pk and ("owner" not in roles or not active):
        raise BadInput("You cannot take the owner's role from yourself. Ask another owner.")
    person.groups.set(Group.objects.filter(name__in=roles))
    person.is_active = active
    person.save(update_fields=["is_active"])
    text = f"{person.label} is now {', '.join(roles) or 'without a role'}{'' if active else ' and can no longer sign in'}."
    record(by=by, action="people.roles", subject=person.username, text=text)
    return person
