"""Short ways through the gifts' pages: what a person reads, and what a form sends."""

from collections.abc import Callable
from html import unescape
from typing import Any

from django.test import Client
from django.urls import reverse

from fund.access.models import Person

SignIn = Callable[[Person], Client]


def text_of(answer: Any) -> str:
    return " ".join(unescape(answer.content.decode()).split())


def read(client: Client, name: str, /, *args: object, **asked: str) -> str:
    """The page of an address of the gifts, which must be there."""
    answer = client.get(reverse(f"gifts:{name}", args=args), asked)
    assert answer.status_code == 200, answer.status_code
    return text_of(answer)


def send(client: Client, name: str, /, *args: object, **told: object) -> str:
    """The page that a sent form leads to."""
    return text_of(client.post(reverse(f"gifts:{name}", args=args), told, follow=True))


def send_and_confirm(client: Client, name: str, /, *args: object, **told: object) -> tuple[str, str]:
    """The page that asks before something that cannot be undone, and the page after the yes."""
    asked = send(client, name, *args, **told)
    assert "This cannot be undone." in asked
    return asked, send(client, name, *args, **told, confirm="yes")


def links(page: str) -> str:
    """The main part of a page, without the rooms around it."""
    return page.split('<main class="page"', 1)[1].split("</main>", 1)[0]
