"""check_books names what was changed in a published month behind the program's back."""

import json

from reports.month.models import PublishedMonth
from reports.month.proofs import figure_breaks, file_breaks, line_breaks, record_breaks
from reports.month.rules_record import canonical, digest
from tests.fund.ledger.test_proofs import tamper


def test_one_changed_byte_of_a_record_is_named_in_its_month_and_the_next(published: PublishedMonth) -> None:
    tamper(
        "UPDATE reports_publishedmonth SET record = replace(record, '456315', '456316') WHERE month = '2026-02'"
    )
    assert [line[:7] for line in record_breaks()] == ["2026-02", "2026-03"]
    assert any("2026-02: the file record.json is not the record" in line for line in file_breaks())
    assert [line[:7] for line in figure_breaks()] == ["2026-02"]


def test_a_record_forged_with_its_digest_is_still_named(published: PublishedMonth) -> None:
    first = PublishedMonth.objects.get(month="2026-02")
    record = {**json.loads(first.record), "closing": 456316}
    forged = canonical(record)
    tamper(
        f"UPDATE reports_publishedmonth SET record = '{forged}', digest = '{digest(forged)}' WHERE month = '2026-02'"
    )
    assert [line[:7] for line in record_breaks()] == ["2026-03"]


def test_a_changed_file_is_named(published: PublishedMonth) -> None:
    tamper("UPDATE reports_publishedfile SET content = substr(content, 2) WHERE name = 'lines.csv'")
    assert [line.partition(":")[2].strip() for line in file_breaks()] == [
        "the file lines.csv was changed after it was published.",
        "the file lines.csv was changed after it was published.",
    ]


def test_a_ledger_that_no_longer_gives_the_published_totals_is_named(published: PublishedMonth) -> None:
    tamper("UPDATE fund_line SET amount = amount + 1 WHERE account_id = '5500' AND month = '2026-03'")
    said = list(figure_breaks())
    assert said == [
        "2026-03: published [456315, 252600, 133609, 575306], but the ledger gives "
        "[456315, 252600, 133610, 575306] (opening, in, out, closing, in cents)."
    ]


def test_a_closed_month_rewritten_within_its_totals_is_named_line_by_line(published: PublishedMonth) -> None:
    assert list(line_breaks()) == []
    tamper("UPDATE fund_line SET purpose_id = 'general' WHERE purpose_id <> 'general' AND month = '2026-03'")
    said = list(line_breaks())
    assert said
    assert all(
        line.startswith("2026-03: line ") and line.endswith("is not what was published.") for line in said
    )


def test_a_line_put_into_a_published_month_is_named(published: PublishedMonth) -> None:
    tamper(
        "INSERT INTO fund_line (entry_id, ordinal, account_id, purpose_id, amount, document_date, posting_date, month,"
        " party, text) SELECT entry_id, 99, account_id, purpose_id, amount, document_date, posting_date, month, party, text"
        " FROM fund_line WHERE id = (SELECT max(id) FROM fund_line WHERE month = '2026-03')"
    )
    said = list(line_breaks())
    assert len(said) == 1
    assert said[0].startswith("2026-03: line 99 of entry ")
