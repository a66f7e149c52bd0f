"""A code of the books is read as one word; it does not break at its hyphen."""

import pytest
from django.template import Context, Template

from fund.templatetags.book import code_link, whole_codes


@pytest.mark.parametrize(
    ("html", "shown"),
    [
        ("Hand back RO-0021", 'Hand back <span class="keep">RO-0021</span>'),
        ('<a href="/x/RO-0021/">RO-0021 Elm</a>', '<a href="/x/RO-0021/"><span class="keep">RO-0021</span> Elm</a>'),
        ("R-00007, G-00001", '<span class="keep">R-00007</span>, <span class="keep">G-00001</span>'),
        ('<option value="RO-0021">RO-0021 Alder</option>', '<option value="RO-0021">RO-0021 Alder</option>'),
        ("<textarea>RO-0021</textarea>", "<textarea>RO-0021</textarea>"),
        ("5W-30, 2026-03-15, DOT-4, XRO-0021, RO-0021-2", "5W-30, 2026-03-15, DOT-4, XRO-0021, RO-0021-2"),
    ],
)  # fmt: skip
def test_codes_are_kept_whole_and_nothing_else_changes(html: str, shown: str) -> None:
    assert whole_codes(html) == shown


def test_what_was_typed_stays_escaped() -> None:
    page = Template("{% load book %}{% filter whole_codes %}{{ words }}{% endfilter %}")
    assert page.render(Context({"words": "<b>RO-0021"})) == '&lt;b&gt;<span class="keep">RO-0021</span>'


def test_a_link_to_a_code_is_whole() -> None:
    assert code_link("RO-0021") == '<a class="keep" href="/crew/repairs/RO-0021/">RO-0021</a>'
