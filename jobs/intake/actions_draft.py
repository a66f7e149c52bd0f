"""A request in the making: kept page by page behind a private link that only its writer has."""

import hashlib
import secrets
from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from django.db import transaction
from django.utils.translation import gettext_noop as said

from fund import clock
from fund.refusal import AlreadyDone, BadInput
from fund.rulebook.queries import rule
from jobs.intake.models_draft import Draft

SECRET_BYTES = 24  # 192 bits of chance: beyond guessing, so the plain SHA-256 of it can be stored
MOST_TYPED = 60_000  # characters of a whole draft
SPOKEN = ("en", "es")


def hash_of(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


@transaction.atomic
def begin_draft(
    *, language: str, page: str, typed: Mapping[str, str], done: bool = True
) -> tuple[Draft, str]:
    """A new draft with its first page; gives it and the secret of its link, which is kept nowhere else.

    Drafts that were left lying longer than the rule ``draft_days`` allows are deleted by the way.
    """
    drop_old_drafts()
    secret = secrets.token_urlsafe(SECRET_BYTES)
    told = {"language": _spoken(language), "pages": {page: dict(typed)}, "done": [page] if done else []}
    draft = Draft.objects.create(secret_hash=hash_of(secret), told=_fitting(told), changed_on=clock.today())
    return draft, secret


@transaction.atomic
def keep_page(*, draft: Draft, page: str, typed: Mapping[str, str], done: bool, language: str = "") -> Draft:
    """Keep a page as it was typed, right or wrong; ``done`` when nothing in it is wrong.

    Refuses a draft that was sent meanwhile, and more text than a request can be.
    """
    draft = _open(draft)
    told = dict(draft.told)
    told["pages"] = {**told["pages"], page: dict(typed)}
    told["done"] = [*(name for name in told["done"] if name != page), *([page] if done else [])]
    if language:
        told["language"] = _spoken(language)
    draft.told, draft.changed_on = _fitting(told), clock.today()
    draft.save(update_fields=["told", "changed_on"])
    return draft


@transaction.atomic
def speak(*, draft: Draft, language: str) -> Draft:
    """The language of the pages behind a link, before or after sending. An unknown one is English."""
    draft = Draft.objects.select_for_update().get(pk=draft.pk)
    draft.told = {**draft.told, "language": _spoken(language)}
    draft.save(update_fields=["told"])
    return draft


@transaction.atomic
def drop_draft(*, draft: Draft) -> None:
    """Whoever wrote it throws it away. Refuses one that was sent: that is a request now."""
    _open(draft).delete()


def drop_old_drafts() -> int:
    """Delete unsent drafts that nobody touched for as many days as the rule says; their number."""
    oldest = clock.today() - timedelta(days=rule("draft_days"))
    return Draft.objects.filter(application=None, changed_on__lt=oldest).delete()[0]


def _open(draft: Draft) -> Draft:
    draft = Draft.objects.select_for_update().get(pk=draft.pk)
    if draft.application_id is not None:
        raise AlreadyDone(said("This was sent already. Nothing was changed."))
    return draft


def _fitting(told: dict[str, Any]) -> dict[str, Any]:
    typed = sum(len(name) + len(text) for page in told["pages"].values() for name, text in page.items())
    if typed > MOST_TYPED:
        raise BadInput(said("This is more text than we can keep. Please make it shorter."))
    return told


def _spoken(language: str) -> str:
    return language if language in SPOKEN else SPOKEN[0]
