import base64

import pytest
from cryptography.fernet import Fernet
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from django.core.exceptions import FieldError, ImproperlyConfigured

from config import env
from fund import sealed
from fund.money import Money
from jobs.households.models import Household, Income

OLD, NEW = Fernet.generate_key().decode(), Fernet.generate_key().decode()


def test_a_fernet_token_of_the_specification_opens(settings: object) -> None:
    # Fernet specification, verify.json: the token of "hello" under this key.
    settings.HOUSEHOLD_KEYS = ["cw_0x689RpI-jtRR7oE8h_eQsKImvJapLeSbXpwF4e4="]  # type: ignore[attr-defined]
    token = (
        "gAAAAAAdwJ6wAAECAwQFBgcICQoLDA0ODy021cpGVWKZ_eEwCGM4BLLF_5CV9dOPmrhuVUPgJobwOz7JcbmrR64jVmpU4IwqDA=="
    )
    assert sealed.unseal(token) == "hello"


def test_the_derivation_is_the_one_of_rfc_5869() -> None:
    # RFC 5869, appendix A, test case 3: HKDF-SHA256 without salt and info.
    made = HKDF(algorithm=hashes.SHA256(), length=42, salt=None, info=b"").derive(b"\x0b" * 22)
    assert made.hex() == (
        "8da4e775a563c18f715f802a063c5a31b8a11f5c5ee1879ec3454e5f3c738d2d9d201395faa4b61a96c8"
    )


def test_what_is_sealed_opens_and_is_not_seen(settings: object) -> None:
    settings.HOUSEHOLD_KEYS = [NEW]  # type: ignore[attr-defined]
    token = sealed.seal("Ozias Thimblethwaite")
    assert "Ozias" not in token
    assert sealed.unseal(token) == "Ozias Thimblethwaite"
    assert token != sealed.seal("Ozias Thimblethwaite")
    assert sealed.seal("") == ""


def test_the_first_key_writes_and_all_read(settings: object) -> None:
    settings.HOUSEHOLD_KEYS = [OLD]  # type: ignore[attr-defined]
    token, old_digest = sealed.seal("x"), sealed.digest("phone", "+12125550101")
    settings.HOUSEHOLD_KEYS = [NEW, OLD]  # type: ignore[attr-defined]
    assert sealed.unseal(token) == "x"
    assert not sealed.is_current(token.encode())
    anew = sealed.reseal(token.encode())
    assert sealed.is_current(anew)
    assert old_digest in sealed.digests("phone", "+12125550101")
    settings.HOUSEHOLD_KEYS = [NEW]  # type: ignore[attr-defined]
    assert sealed.unseal(anew.decode()) == "x"
    with pytest.raises(sealed.CannotOpen, match="does not open"):
        sealed.unseal(token)


def test_a_digest_keeps_kinds_and_keys_apart(settings: object) -> None:
    settings.HOUSEHOLD_KEYS = [NEW]  # type: ignore[attr-defined]
    assert sealed.digest("plate", "LRK204") == sealed.digest("plate", "LRK204")
    assert sealed.digest("plate", "LRK204") != sealed.digest("vin", "LRK204")
    first = sealed.digest("plate", "LRK204")
    settings.HOUSEHOLD_KEYS = [OLD]  # type: ignore[attr-defined]
    assert sealed.digest("plate", "LRK204") != first


@pytest.mark.django_db
def test_a_sealed_column_refuses_to_be_searched() -> None:
    for search in ({"phone": "1"}, {"phone__icontains": "1"}, {"phone__in": ["1"]}):
        with pytest.raises(FieldError):
            Household.objects.filter(**search)
    with pytest.raises(FieldError):
        Income.objects.filter(amount__gt=Money(1))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (None, "Set KEYS"),
        ("abc", "not 32 bytes"),
        (f"{NEW},{base64.urlsafe_b64encode(b'short').decode()}", "Key 2"),
        (env.TRIAL_KEY, "everybody knows"),
    ],
    ids=["none", "too short", "second too short", "the trial's"],
)
def test_nothing_but_a_trial_starts_without_a_key_of_its_own(
    monkeypatch: pytest.MonkeyPatch, text: str | None, words: str
) -> None:
    monkeypatch.delenv("KEYS", raising=False)
    if text is not None:
        monkeypatch.setenv("KEYS", text)
    with pytest.raises(ImproperlyConfigured, match=words):
        env.sealing_keys("KEYS", trial=False)


def test_a_trial_gets_the_key_that_everybody_knows(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("KEYS", raising=False)
    assert env.sealing_keys("KEYS", trial=True) == [env.TRIAL_KEY]
    monkeypatch.setenv("KEYS", f" {NEW} , {OLD}")
    assert env.sealing_keys("KEYS", trial=False) == [NEW, OLD]
