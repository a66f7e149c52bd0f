"""Every named page of the program, as the resolver knows it."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver
from django.urls.resolvers import RegexPattern


@dataclass(frozen=True)
class Url:
    """``name`` with its namespaces, ``fields`` the names of what stands in the path."""

    name: str
    fields: tuple[str, ...]


def every_url() -> list[Url]:
    found = list(walk(get_resolver().url_patterns, ""))
    return sorted(set(found), key=lambda url: url.name)


def walk(patterns: list[URLPattern | URLResolver], namespace: str) -> Iterator[Url]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            inner = f"{namespace}{pattern.namespace}:" if pattern.namespace else namespace
            yield from walk(pattern.url_patterns, inner)
        else:
            assert pattern.name, f"{pattern.pattern} has no name"
            yield Url(namespace + pattern.name, fields_of(pattern.pattern))


def fields_of(route: Any) -> tuple[str, ...]:
    return tuple(route.regex.groupindex) if isinstance(route, RegexPattern) else tuple(route.converters)
