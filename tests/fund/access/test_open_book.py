import io

import pytest
from django.core.management import CommandError, call_command

from fund.access.guards import roles_of
from fund.access.models import Person


def open_book(monkeypatch: pytest.MonkeyPatch, password: str = "four rusty calipers") -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(password + "\n"))
    call_command("open_book", "maren", "Maren", "Holt")


@pytest.mark.django_db
def test_an_empty_book_gets_its_owner(monkeypatch: pytest.MonkeyPatch) -> None:
    open_book(monkeypatch)
    maren = Person.objects.get(username="maren")
    assert maren.label == "Maren Holt"
    assert maren.check_password("four rusty calipers")
    assert roles_of(maren) == {"owner"}


@pytest.mark.django_db
def test_a_short_password_is_refused_and_nobody_is_added(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(CommandError, match="at least 12 characters") as refused:
        open_book(monkeypatch, "short")
    assert refused.value.returncode == 1
    assert not Person.objects.exists()


def test_a_book_with_a_crew_is_not_opened_again(owner: Person, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(CommandError, match="already has members"):
        open_book(monkeypatch)
    assert Person.objects.count() == 1
