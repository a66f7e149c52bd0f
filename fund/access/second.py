"""The second person of a duty that two do together: present, and signing in on the same form with their own password."""

from typing import Any

from django import forms
from django.contrib.auth import authenticate
from django.http import HttpRequest

from fund.access.guards import may
from fund.access.models import Person
from fund.access.powers import no_power_sentence
from fund.refusal import BadInput

NAME, PASSWORD = "second_name", "second_password"


def signature_fields(help_text: str) -> dict[str, forms.Field]:
    """The boxes of the second person. A page that comes back holds the name and never the password."""
    name = forms.CharField(
        label="Second person's sign-in name",
        max_length=150,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none"}),
    )
    password = forms.CharField(
        label="Second person's password",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
        help_text=help_text,
    )
    return {NAME: name, PASSWORD: password}


def with_second(request: HttpRequest, told: dict[str, Any], *, power: str) -> tuple[Person, dict[str, Any]]:
    """The second person of what a form told, and the rest of it.

    Wrong tries count against the name as at sign-in. Refuses, with a sentence for the form, a name and a password that
    do not go together, a password that somebody else gave out, and who has not the power.
    """
    person = authenticate(request, username=told[NAME].strip(), password=told[PASSWORD])
    if not isinstance(person, Person):
        raise BadInput("The second person's name and password do not go together. Let them type both again.")
    if person.first_password:
        raise BadInput(
            f"{person.label} still signs in with a password that somebody else gave them, so it proves nothing. "
            "Let them sign in once and choose their own."
        )
    if not may(person, power):
        raise BadInput(f"{person.label} cannot sign this. {no_power_sentence(power)}")
    return person, {name: value for name, value in told.items() if name not in (NAME, PASSWORD)}
