"""The private link: whoever has it is the one who wrote the request. Its pages are never kept, found or passed on."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import translation
from django.utils.cache import add_never_cache_headers
from django.utils.translation import gettext

from fund.forms import BookForm
from fund.refusal import Refusal
from jobs.intake.actions_draft import SPOKEN, hash_of
from jobs.intake.models_draft import Draft

PrivateView = Callable[..., HttpResponse]


def unlisted(response: HttpResponse) -> HttpResponse:
    add_never_cache_headers(response)
    response["X-Robots-Tag"] = "noindex"
    return response


def by_link(view: PrivateView) -> PrivateView:
    """A page behind the private link, in the language of its draft. A link that leads nowhere is not found."""

    @wraps(view)
    def opened(request: HttpRequest, secret: str, **kwargs: Any) -> HttpResponse:
        draft = (
            Draft.objects.select_related("application__household").filter(secret_hash=hash_of(secret)).first()
        )
        if draft is None or draft.told is None:  # never given, or the household was forgotten
            raise Http404
        with translation.override(draft.told.get("language", SPOKEN[0])):
            return unlisted(view(request, draft=draft, secret=secret, **kwargs))

    return opened


def in_language(view: PrivateView) -> PrivateView:
    """A page before there is a draft, in the language that its address names."""

    @wraps(view)
    def opened(request: HttpRequest, language: str, **kwargs: Any) -> HttpResponse:
        with translation.override(language):
            return unlisted(view(request, language=language, **kwargs))

    return opened


def tried(form: BookForm, act: Callable[[], Any]) -> bool:
    """Whether an action went through; a refusal is put on the form, in the language of the page."""
    try:
        act()
    except Refusal as refusal:
        form.add_error(None, gettext(refusal.sentence))
        return False
    return True
