"""How hard a text is to read, in US school grades.

Flesch-Kincaid grade level = 0.39 words/sentences + 11.8 syllables/words - 15.59 (J. P. Kincaid, R. P. Fishburne,
R. L. Rogers, B. S. Chissom, "Derivation of new readability formulas for Navy enlisted personnel", Research Branch
Report 8-75, 1975). Syllables are counted as groups of vowels without a silent e, the usual rough way of programs.
"""

import re
from dataclasses import dataclass
from html import unescape

SKIPPED = re.compile(r"<(script|style|select|header|footer)\b.*?</\1>|<!--.*?-->", re.DOTALL)
INLINE = re.compile(r"</?(?:a|strong|em|span|b|i|code)\b[^>]*>")
TAG = re.compile(r"<[^>]+>")
WORD = re.compile(r"[A-Za-z]+(?:['’-][A-Za-z]+)*")
VOWELS = re.compile(r"[aeiouy]+")


@dataclass(frozen=True)
class Counted:
    words: int
    sentences: int
    syllables: int

    @property
    def grade(self) -> float:
        return 0.39 * self.words / self.sentences + 11.8 * self.syllables / self.words - 15.59


def syllables(word: str) -> int:
    small = word.lower()
    if len(small) > 2 and small.endswith("e") and not small.endswith("le") and small[-2] not in "aeiouy":
        small = small[:-1]
    if len(small) > 3 and small.endswith("ed") and small[-3] not in "td":
        small = small[:-2]
    return max(len(VOWELS.findall(small)), 1)


def count(sentences: list[str]) -> Counted:
    words = [WORD.findall(sentence) for sentence in sentences]
    told = [row for row in words if row]
    flat = [word for row in told for word in row]
    return Counted(len(flat), len(told), sum(map(syllables, flat)))


def sentences_of_page(html: str) -> list[str]:
    """Every sentence of the content of a page; a heading, label or list item ends one even without a stop."""
    content = SKIPPED.sub(" ", html)
    blocks = TAG.split(INLINE.sub("", content))
    return [
        sentence
        for block in blocks
        for sentence in re.split(r"(?<=[.?!:])\s+", unescape(block).strip())
        if WORD.search(sentence)
    ]
