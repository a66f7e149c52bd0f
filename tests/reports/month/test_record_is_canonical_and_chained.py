import hashlib
import json

import pytest

from reports.month.rules_record import canonical, chain_breaks, digest


def _published(months: list[str]) -> list[tuple[str, str, str]]:
    rows: list[tuple[str, str, str]] = []
    before = None
    for month in months:
        text = canonical({"month": month, "previous_digest": before, "closing": 575306})
        before = digest(text)
        rows.append((month, text, before))
    return rows


def test_keys_are_sorted_nothing_is_spaced_and_letters_stay_letters() -> None:
    record = {"b": 1, "a": {"d": None, "c": ["é", True]}}
    assert canonical(record) == '{"a":{"c":["é",true],"d":null},"b":1}'


def test_two_orders_of_writing_give_one_text() -> None:
    assert canonical({"x": 1, "y": 2}) == canonical({"y": 2, "x": 1})


@pytest.mark.parametrize("value", [1.5, b"x", {1: "a"}, {"deep": [{"far": 0.1}]}, object()])
def test_what_json_would_have_to_guess_about_is_refused(value: object) -> None:
    with pytest.raises(TypeError):
        canonical({"value": value})


def test_the_digest_is_sha_256_of_the_bytes() -> None:
    # FIPS 180-2 (NIST), appendix B.1: the SHA-256 of the three bytes "abc".
    assert digest("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert digest("é") == hashlib.sha256("é".encode()).hexdigest()


def test_a_whole_chain_has_no_breaks() -> None:
    assert chain_breaks(_published(["2026-01", "2026-02", "2026-03"])) == []


def test_one_changed_byte_shows_in_its_month_and_in_the_next() -> None:
    rows = _published(["2026-01", "2026-02", "2026-03"])
    month, text, kept = rows[1]
    rows[1] = (month, text.replace("575306", "575307"), kept)
    breaks = chain_breaks(rows)
    assert [line[:7] for line in breaks] == ["2026-02", "2026-03"]


def test_an_edit_that_also_replaces_its_own_digest_still_shows_in_the_next_month() -> None:
    rows = _published(["2026-01", "2026-02", "2026-03"])
    forged = rows[1][1].replace("575306", "575307")
    rows[1] = ("2026-02", forged, digest(forged))
    assert [line[:7] for line in chain_breaks(rows)] == ["2026-03"]


def test_a_month_taken_out_of_the_row_shows() -> None:
    rows = _published(["2026-01", "2026-02", "2026-03"])
    assert [line[:7] for line in chain_breaks([rows[0], rows[2]])] == ["2026-03"]


def test_a_record_that_is_no_longer_json_shows_as_a_break() -> None:
    rows = _published(["2026-01"])
    assert chain_breaks([("2026-01", rows[0][1][:-1], rows[0][2])])


def test_the_text_reads_back_as_the_same_record() -> None:
    record = {"month": "2026-03", "rows": [{"amount": -6000, "label": "Gifts returned"}]}
    assert json.loads(canonical(record)) == record
