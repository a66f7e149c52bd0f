"""Values that the database holds unreadable, and the digests by which they are still found.

Sealing is Fernet (AES-128-CBC with HMAC-SHA256) with the keys of ``HOUSEHOLD_KEYS``: the first one writes, all of
them read, so a key is changed by putting the new one first, sealing everything anew and dropping the old one.
A digest is HMAC-SHA256 under a key derived from the same secret by HKDF (RFC 5869). Equal values have equal
digests, so a value can be looked for exactly; without the keys neither can be turned back or tried out.
"""

import base64
import hmac
from functools import lru_cache
from hashlib import sha256

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from django.conf import settings
from django.core.exceptions import ImproperlyConfigured

_SEARCH = b"mendbook: search digests, 1"


class CannotOpen(ImproperlyConfigured):
    """No key fits a sealed value, or it was tampered with. The message never holds the value."""


def _keys() -> tuple[str, ...]:
    return tuple(settings.HOUSEHOLD_KEYS)


@lru_cache(maxsize=8)
def _box(keys: tuple[str, ...]) -> MultiFernet:
    return MultiFernet([Fernet(key) for key in keys])


@lru_cache(maxsize=32)
def _search_key(key: str) -> bytes:
    secret = base64.urlsafe_b64decode(key)
    return HKDF(algorithm=hashes.SHA256(), length=32, salt=None, info=_SEARCH).derive(secret)


def seal_bytes(content: bytes) -> bytes:
    return _box(_keys()).encrypt(content)


def open_bytes(token: bytes) -> bytes:
    """The content of a token, whichever of the keys wrote it. Raises :class:`CannotOpen`."""
    try:
        return _box(_keys()).decrypt(token)
    except InvalidToken:
        raise CannotOpen(
            "A sealed value does not open: HOUSEHOLD_KEYS lacks the key it was written with, or it was changed."
        ) from None


def seal(text: str) -> str:
    """The token of a text; an empty text stays empty, so that "nothing written" needs no key to be seen."""
    return seal_bytes(text.encode()).decode() if text else ""


def unseal(token: str) -> str:
    return open_bytes(token.encode()).decode() if token else ""


def is_current(token: bytes) -> bool:
    """Whether the first key wrote a token."""
    try:
        _box(_keys()[:1]).decrypt(token)
    except InvalidToken:
        return False
    return True


def reseal(token: bytes) -> bytes:
    """The same content under the first key. Raises :class:`CannotOpen`."""
    return seal_bytes(open_bytes(token))


def digest(kind: str, value: str) -> str:
    """What is stored to find ``value`` again, under the first key. ``kind`` keeps a plate apart from a phone."""
    return _digest(_keys()[0], kind, value)


def digests(kind: str, value: str) -> list[str]:
    """What to look for: the digest under each key, as rows may not all be sealed anew yet."""
    return [_digest(key, kind, value) for key in _keys()]


def _digest(key: str, kind: str, value: str) -> str:
    made = hmac.new(_search_key(key), f"{kind}\0{value}".encode(), sha256).digest()
    return base64.urlsafe_b64encode(made).decode().rstrip("=")
