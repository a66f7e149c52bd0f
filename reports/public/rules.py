"""What the public pages say beside the months themselves. Words and a short program, no database."""

# Shown on the page and run by a test just as it stands. Standard library only.
VERIFY_PROGRAM = """\
import hashlib, json, pathlib

before = None
for path in sorted(pathlib.Path(".").glob("20??-??.json")):
    data = path.read_bytes()
    record = json.loads(data)
    digest = hashlib.sha256(data).hexdigest()
    chained = before is None or record["previous_digest"] == before
    foots = record["opening"] + record["total_in"] - record["total_out"] == record["closing"]
    print(record["month"], digest, "chained" if chained else "BROKEN CHAIN", "foots" if foots else "DOES NOT FOOT")
    before = digest
"""


def months_of(records: list[dict[str, object]]) -> list[dict[str, object]]:
    """A line for each record, newest first as given."""
    keys = ("month", "total_in", "total_out", "closing")
    return [{key: record[key] for key in keys} for record in records]
