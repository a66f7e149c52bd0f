"""Pressing a button on a page that a person has opened and read."""

import re
from typing import Any

from django.test import Client


def read_on(client: Client, url: str) -> str:
    """The mark of what the page shows now, as its form carries it."""
    found = re.search(r'name="read" value="(\w*)"', client.get(url).content.decode())
    assert found
    return found[1]


def press(client: Client, url: str, said: dict[str, str]) -> Any:
    """Open the page, then send its form."""
    return client.post(url, {"read": read_on(client, url), **said})
