from typing import Any

from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from fund.access.actions import add_person, set_roles
from fund.access.actions_password import change_own_password, give_first_password
from fund.access.ended import COOKIE, remember, typed_before
from fund.access.forms import ChangeRolesForm, FirstPasswordForm, PasswordForm, PersonForm, SignInForm
from fund.access.guards import power, roles_of
from fund.access.models import Person
from fund.access.queries import crew
from fund.access.tables import PeopleTable
from fund.pages import form_page, person_of, posted
from fund.tables import book_list


class SignIn(LoginView):
    """Throttled by django-axes, which counts failures per name and address."""

    authentication_form = SignInForm
    template_name = "fund/access/sign_in.html"
    redirect_authenticated_user = True

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(kept=self.request.POST.get("kept", ""), **kwargs)

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """On to Today or the page asked for; or to what was typed when the last sign-in ended."""
        answer = super().form_valid(form)
        person = person_of(self.request)
        held = typed_before(self.request.POST.get("kept", ""), person)
        if held:
            answer = render(self.request, "fund/access/kept.html", {"held": held})
        remember(answer, person)
        return answer


class SignOut(LogoutView):
    http_method_names = ["post", "options"]

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        answer = super().post(request, *args, **kwargs)
        answer.delete_cookie(COOKIE)
        return answer


@power("today.see")
def own(request: HttpRequest) -> HttpResponse:
    """One's own sign-in: who one is to the program, and a new password."""
    person = person_of(request)
    first = person.first_password

    def change(cleaned: dict[str, str]) -> Person:
        change_own_password(by=person, old=cleaned["old"], new=cleaned["new"])
        update_session_auth_hash(request, person)
        return person

    return form_page(
        request,
        PasswordForm(**posted(request)),
        change,
        template="fund/access/own.html",
        then=lambda _: "/crew/" if first else reverse("access:own"),
        done=lambda _: "Your password is changed.",
    )


@power("people.manage")
def people(request: HttpRequest) -> HttpResponseBase:
    return book_list(request, PeopleTable, crew(), template="fund/access/people.html", filename="crew")


@power("people.manage")
def person_add(request: HttpRequest) -> HttpResponse:
    return form_page(
        request,
        PersonForm(**posted(request)),
        lambda cleaned: add_person(by=person_of(request), **cleaned),
        template="fund/access/person_add.html",
        then=lambda person: reverse("access:people"),
        done=lambda person: f"{person.label} can now sign in as {person.username}.",
    )


@power("people.manage")
def person(request: HttpRequest, username: str) -> HttpResponse:
    subject = get_object_or_404(Person, username=username)
    start = {"roles": sorted(roles_of(subject)), "active": subject.is_active}
    return form_page(
        request,
        ChangeRolesForm(initial=start, **posted(request)),
        lambda cleaned: set_roles(by=person_of(request), person=subject, **cleaned),
        template="fund/access/person.html",
        then=lambda _: reverse("access:people"),
        done=lambda changed: f"{changed.label}: saved.",
        context={"subject": subject},
    )


@power("people.manage")
def first_password(request: HttpRequest, username: str) -> HttpResponse:
    subject = get_object_or_404(Person, username=username)
    return form_page(
        request,
        FirstPasswordForm(**posted(request)),
        lambda cleaned: give_first_password(by=person_of(request), person=subject, **cleaned),
        template="fund/access/first_password.html",
        then=lambda changed: reverse("access:person", args=[changed.username]),
        done=lambda changed: f"{changed.label} signs in with the new first password and then chooses one.",
        context={"subject": subject},
    )
