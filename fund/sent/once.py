"""The same form sent twice (a lost answer, a reload) does its work once. For forms of :class:`fund.forms.OnceForm`.

The token of the form is written in the transaction of the action, so that either both stand or neither.
"""

import hashlib
import json
from collections.abc import Callable
from datetime import timedelta
from typing import NamedTuple, TypeVar

from django.contrib import messages
from django.db import transaction
from django.forms import BaseForm, PasswordInput
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect

from fund import clock
from fund.access.models import Person
from fund.forms import TOKEN, OnceForm
from fund.refusal import AlreadyDone
from fund.sent.models import SentForm

T = TypeVar("T")
KEPT_FOR = timedelta(days=60)
APART = {TOKEN, "csrfmiddlewaretoken", "confirm"}


class Led(NamedTuple):
    """Where a form leads and what is said there."""

    address: str
    words: str


def sent_before(request: HttpRequest, form: BaseForm) -> HttpResponse | None:
    """The way to what this very form made when it was sent the first time; None if it was not, or was changed since.

    A form that was changed since (somebody went back in the browser and wrote another one over it) is refused once,
    with what the first made, and gets a token of its own: sent again it is a new one. Asked before the form is
    validated: a deposit sent twice names what no longer waits.
    """
    if not (isinstance(form, OnceForm) and form.is_bound and form.once_token):
        return None
    before = _row(request, form)
    if before is None:
        return None
    if before.held == _held(form):
        led = _again(before, form)
        messages.info(request, led.words)
        return redirect(led.address)
    form.add_error(
        None,
        f"This form was sent before: {before.words or 'it is done.'} What stands here now is something else. If that is to "
        "be written down too, send it again.",
    )
    form.renew_token()
    return None


def once(
    request: HttpRequest,
    form: BaseForm,
    act: Callable[[], T],
    then: Callable[[T], str],
    words: Callable[[T], str],
) -> Led:
    """Do the work of a form and note with it that it is done. Whoever sent the same at the same moment waits for it."""
    if not (isinstance(form, OnceForm) and form.once_token and isinstance(request.user, Person)):
        made = act()
        return Led(then(made), words(made))
    with transaction.atomic():
        now = clock.now()
        SentForm.objects.filter(at__lt=now - KEPT_FOR).delete()
        row, is_first = SentForm.objects.get_or_create(
            by=request.user, token=form.once_token, defaults={"at": now, "held": _held(form)}
        )
        if not is_first:
            return _again(row, form)
        made = act()
        row.led_to, row.words = then(made), words(made)[:500]
        row.save(update_fields=["led_to", "words"])
        return Led(row.led_to, row.words)


def _row(request: HttpRequest, form: OnceForm) -> SentForm | None:
    if not isinstance(request.user, Person):
        return None
    return SentForm.objects.filter(by=request.user, token=form.once_token).first()


def _again(row: SentForm, form: OnceForm) -> Led:
    if row.held != _held(form):
        raise AlreadyDone(
            f"This form was sent at the same moment with something else in it. {row.words}".strip()
        )
    return Led(row.led_to, f"This form was sent twice and done once. {row.words}".strip())


def _held(form: OnceForm) -> str:
    # Without passwords, and without empty boxes: a page that asks again sends those that were left out as empty.
    secret = {
        form.add_prefix(name)
        for name, field in form.fields.items()
        if isinstance(field.widget, PasswordInput)
    }
    lists = form.data.lists() if isinstance(form.data, QueryDict) else form.data.items()
    told = sorted((name, value) for name, value in lists if name not in APART | secret and any(value))
    files = sorted((name, str(upload), getattr(upload, "size", 0)) for name, upload in form.files.items())
    return hashlib.sha256(json.dumps([told, files], default=str).encode()).hexdigest()
