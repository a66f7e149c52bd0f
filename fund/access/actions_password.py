from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.refusal import BadInput
from fund.trail.actions import record


@transaction.atomic
def change_own_password(*, by: Person, old: str, new: str) -> Person:
    """Replace one's own password. Refuses a wrong old one, and a new one that is short, common or the same."""
    if not by.check_password(old):
        raise BadInput("The present password is not right.")
    if old == new:
        raise BadInput("The new password is the same as the present one.")
    _set_password(by, new, first=False)
    record(by=by, action="people.password", subject=by.username, text=f"{by.label} changed their password.")
    return by


@transaction.atomic
def give_first_password(*, by: Person, person: Person, password: str) -> Person:
    """A new first password for someone who forgot theirs; ends their open sign-ins. Refused for one's own."""
    require(by, "people.manage")
    if by.pk == person.pk:
        raise BadInput("Change your own password under your name.")
    _set_password(person, password, first=True)
    text = f"{by.label} gave {person.label} a new first password."
    record(by=by, action="people.first_password", subject=person.username, text=text)
    return person


def _set_password(person: Person, password: str, *, first: bool) -> None:
    try:
        validate_password(password, person)
    except ValidationError as error:
        raise BadInput(" ".join(error.messages)) from error
    person.set_password(password)
    person.first_password = first
    person.save(update_fields=["password", "first_password"])
