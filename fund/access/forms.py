from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm

from fund.access.powers import ROLES
from fund.forms import BookForm

ROLE_WORDS = {
    "owner": "Owner: decides and signs",
    "treasurer": "Treasurer: records money, prepares, closes",
    "screener": "Screener: decides on households",
    "volunteer": "Volunteer: receipts, hours, repairs, checks",
    "accountant": "Accountant: reads and exports",
}


def _password(label: str, help_text: str = "", autocomplete: str = "current-password") -> forms.CharField:
    widget = forms.PasswordInput(attrs={"autocomplete": autocomplete})
    return forms.CharField(label=label, help_text=help_text, strip=False, max_length=128, widget=widget)


class SignInForm(AuthenticationForm):
    error_messages = {
        "invalid_login": "The sign-in name and the password do not go together. Capital letters count in the password.",
        "inactive": "This sign-in has been ended. Ask an owner.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        self.fields["username"].label = "Sign-in name"
        self.fields["password"].label = "Password"


class PasswordForm(BookForm):
    old = _password("Present password")
    new = _password(
        "New password",
        "At least 12 characters. A few words that belong only to you are good.",
        "new-password",
    )
    again = _password("New password once more", "", "new-password")

    def clean_again(self) -> str:
        again: str = self.cleaned_data["again"]
        if "new" in self.cleaned_data and again != self.cleaned_data["new"]:
            raise forms.ValidationError("The two new passwords differ.")
        return again


class FirstPasswordForm(BookForm):
    password = _password(
        "New first password",
        "At least 12 characters. Give it in person; the next sign-in asks for one of their own.",
        "new-password",
    )


class RolesForm(BookForm):
    roles = forms.MultipleChoiceField(
        label="Roles",
        help_text="One person may hold several. What needs two people still needs two.",
        choices=[(role, ROLE_WORDS[role]) for role in ROLES],
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose at least one role."},
    )


class ChangeRolesForm(RolesForm):
    active = forms.BooleanField(
        label="May sign in", required=False, help_text="Take the tick away when someone leaves the crew."
    )


class PersonForm(RolesForm):
    username = forms.CharField(label="Sign-in name", max_length=30, help_text="Short, small letters.")
    first_name = forms.CharField(label="First name", max_length=80)
    last_name = forms.CharField(label="Last name", max_length=80)
    password = _password(
        "First password",
        "At least 12 characters. Give it in person; the first sign-in asks for one of their own.",
        "new-password",
    )

    field_order = ["first_name", "last_name", "username", "password", "roles"]
