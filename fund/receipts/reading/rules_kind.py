"""Papers that tell of no purchase: money back, something void, a price asked for, an order, a second print. Pure.

Their sums prove each other as well as a purchase's do, so their words are looked for. Wrong here is cheap on one side only: a
purchase taken for another kind is looked at by a person, as all that is not proved.
"""

import re
from collections.abc import Sequence

from rapidfuzz.distance import Levenshtein

from fund.receipts.reading.rules import Row

_KINDS: tuple[tuple[str, str, str], ...] = (
    (
        r"returns?|returned|refunds?|refunded|(credit|exchange) (slip|memo|note|voucher)|money back",
        "refund return returned refunded",
        "it may tell of money that came back, and of no purchase.",
    ),
    (
        r"voids?|voided|cancell?ed|cancellation|not paid|declined|training",
        "voided canceled cancelled declined",
        "it may have been canceled, so that nothing was bought.",
    ),
    (
        r"quotes?|quotation|estimates?|pro ?forma|not a (receipt|bill|sale)|price offer|packing (slip|list)|delivery note",
        "quotation estimate proforma",
        "it may be a price that was asked for or a list of goods, and no purchase.",
    ),
    (
        r"lay ?aways?|(sales?|work|service|special|purchase|open|back) order|back ?ordered|order (confirmation|acknowledge?ment)"
        r"|pay (at|on|upon) (pick ?up|delivery|arrival)|will call|(down|partial|part) payment|balance (owing|remaining|to pay)",
        "layaway layaways",
        "it may be an order or something put by, which is not paid yet or in part only.",
    ),
    (
        r"re ?prints?|reprinted|duplicate|second copy|copy of (a |the )?(receipt|sale)",
        "reprint reprinted duplicate",
        "it may be a second print of a paper that was entered before.",
    ),
)
_WORDS = [re.compile(rf"\b({words})\b", re.I) for words, _, _ in _KINDS]
# What stores print below every sale about bringing goods back, and on coupons.
_POLICY = re.compile(
    r"polic|within|\bdays?\b|accepted|\b(no|all|for)\s+(returns?|refunds?)\b|\breceipt\b|\bvoid (where|if|after|without)\b",
    re.I,
)
_AMOUNT = re.compile(r"\d[.,]\d\d(?!\d)")
_LIKE_LETTERS = str.maketrans("015", "ois")


def no_purchase(rows: Sequence[Row]) -> str:
    """The sentence against a paper whose own words tell of no purchase, with the word it stands on; empty for all others."""
    for (_, nearly, why), words in zip(_KINDS, _WORDS, strict=True):
        for row in rows:
            if found := _found(row.text, words, nearly.split()):
                return f"The paper says “{found}”: {why}"
    return ""


def _found(text: str, words: re.Pattern[str], nearly: Sequence[str]) -> str:
    if _POLICY.search(text) and not _AMOUNT.search(text):
        # “not a receipt” and “copy of receipt” speak of the paper; “returns only with receipt” does not.
        said = re.search(r"\b(not a receipt|copy of (a |the )?receipt)\b", text, re.I)
        return said[0] if said and words.search(said[0]) else _unless_policy(text, words)
    plain = _plain(text)
    if said := words.search(plain):
        return said[0]
    for word in re.findall(r"[A-Za-z]{5,}", plain):
        if any(Levenshtein.distance(word.lower(), other, score_cutoff=1) <= 1 for other in nearly):
            return str(word)
    return ""


def _unless_policy(text: str, words: re.Pattern[str]) -> str:
    """Of a row about bringing goods back only what is not about that: “estimate valid 30 days” is still an estimate."""
    said = words.search(text)
    if said is None or re.match(r"return|refund|money|void|credit|exchange", said[0], re.I):
        return ""
    return said[0]


def _plain(text: str) -> str:
    """The words with figures that were read for letters put right (V0ID), and with letters set wide closed up (V O I D)."""
    words = re.sub(r"[^\w\s]", " ", text)
    words = re.sub(r"(?<!\w)(?:\w )+\w(?!\w)", lambda wide: wide[0].replace(" ", ""), words)
    return " ".join(
        word.translate(_LIKE_LETTERS) if re.search(r"[A-Za-z]", word) else word for word in words.split()
    )
