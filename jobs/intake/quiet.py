"""Keeps private links, and what the crew searched for, out of what the program writes to its log."""

import logging
import re

_SECRET = re.compile(r"(/ask-for-help/mine/)[\w-]+")
_SEARCH = re.compile(r"(/[\w./-]*\?)[^\s\"']+")


class NoPrivateLinks(logging.Filter):
    """Writes "(link)" for the secret of a private link and "(words)" for what stands behind a question mark.

    A search for a household by name or plate is part of its address. No line is left out.
    """

    def filter(self, record: logging.LogRecord) -> bool:
        record.msg = _quiet(record.msg)
        if isinstance(record.args, tuple):
            record.args = tuple(map(_quiet, record.args))
        if record.exc_text:
            record.exc_text = str(_quiet(record.exc_text))
        return True


def _quiet(value: object) -> object:
    if not isinstance(value, str):
        return value
    return _SEARCH.sub(r"\1(words)", _SECRET.sub(r"\1(link)", value))
