"""The invented fund's signatures are drawings that the box would take, one for each name."""

import pytest

from jobs.signing.rules import drawing_wrong
from reports.demo.scribble import scribble

NAMES = ("Corin Jessamy", "Ada Quill", "Bo", "", "Ñandú Õ")


@pytest.mark.parametrize("name", NAMES)
def test_a_scribble_counts_as_a_signature(name: str) -> None:
    assert drawing_wrong(scribble(name)) == ""
    assert scribble(name) == scribble(name)


def test_two_names_have_two_scribbles() -> None:
    assert len({str(scribble(name)) for name in NAMES}) == len(NAMES)
