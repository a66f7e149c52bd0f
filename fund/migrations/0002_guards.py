"""The laws of the ledger, kept by the database itself on SQLite and PostgreSQL."""

from django.db import migrations

from fund.dbguard import guard

APPEND_ONLY = [
    "fund_entry",
    "fund_line",
    "fund_monthbalance",
    "fund_trailline",
    "fund_datedrule",
    "fund_commitmentmove",
    "fund_billpayment",
    "fund_corereturn",
    "fund_shelfissue",
    "fund_shelfcount",
    "fund_claim",
    "fund_claimsettlement",
    "fund_partreturn",
    "fund_latecorerefund",
    "fund_lookanswer",
    "fund_costobjectend",
    "fund_pettycashfloat",
    "fund_pettycashcount",
    "fund_mileagerate",
    "fund_tokenlimit",
    "fund_lettergift",
    "fund_lettervoid",
    "fund_statementfile",
    "fund_statementline",
    "fund_matchgroup",
    "fund_matchpart",
    "fund_matchundo",
    "fund_reconciliation",
    "fund_reconciliationreview",
    "fund_platformbalance",
]

# Who a letter went to may be taken away when they ask to be forgotten; the rest of it stays.
SEALED = {"fund_letter": ("to_name", "to_address", "to_email")}

# (condition that is a breach, what to say); the entry arrives after its lines, so everything is there to be verified.
ENTRY_BREACHES = [
    (
        "EXISTS (SELECT 1 FROM fund_month WHERE closed_at IS NOT NULL AND key >= NEW.month)",
        "the month is closed",
    ),
    ("NEW.month <> {posting_month}", "month and posting date differ"),
    (
        "NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM fund_entry)",
        "entries are numbered without gaps",
    ),
    (
        "NEW.prev_digest <> coalesce((SELECT digest FROM fund_entry WHERE number = NEW.number - 1), '"
        + "0" * 64
        + "')",
        "the chain to the entry before is broken",
    ),
    ("(SELECT count(*) FROM fund_line WHERE entry_id = NEW.number) < 2", "an entry needs two lines"),
    (
        "EXISTS (SELECT 1 FROM fund_line WHERE entry_id = NEW.number GROUP BY purpose_id HAVING sum(amount) <> 0)",
        "debits and credits differ",
    ),
    (
        "EXISTS (SELECT 1 FROM fund_line WHERE entry_id = NEW.number"
        " AND (month <> NEW.month OR posting_date <> NEW.posting_date))",
        "a line has another posting date than its entry",
    ),
]
LINE_BREACHES = [
    ("EXISTS (SELECT 1 FROM fund_entry WHERE number = NEW.entry_id)", "a posted entry takes no further line"),
    ("EXISTS (SELECT 1 FROM fund_line WHERE id = NEW.id)", "a line is written once"),
]
LETTER_BREACHES = [
    (
        "NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM fund_letter)",
        "letters are numbered without gaps",
    ),
]
MONTH_BREACH = ("OLD.closed_at IS NOT NULL", "a closed month stays closed")
# UPDATE OR REPLACE moves an open month onto a closed one, by its key or, on SQLite, by its rowid.
MONTH_MOVED = ("NEW.key <> OLD.key", "a month keeps its name")
MONTH_ROW_MOVED = ("NEW.rowid <> OLD.rowid", "a month keeps its place")


def _sqlite() -> list[str]:
    def trigger(name: str, event: str, breaches: list[tuple[str, str]]) -> str:
        checks = " ".join(f"SELECT RAISE(ABORT, '{text}') WHERE {test};" for test, text in breaches)
        return f"CREATE TRIGGER {name} BEFORE {event} BEGIN {checks} END"

    entry = [
        (test.format(posting_month="substr(NEW.posting_date, 1, 7)"), text) for test, text in ENTRY_BREACHES
    ]
    return [
        trigger("fund_entry_verify", "INSERT ON fund_entry", entry),
        trigger("fund_line_verify", "INSERT ON fund_line", LINE_BREACHES),
        trigger("fund_letter_verify", "INSERT ON fund_letter", LETTER_BREACHES),
        trigger("fund_month_stays", "UPDATE ON fund_month", [MONTH_BREACH, MONTH_MOVED, MONTH_ROW_MOVED]),
        trigger("fund_month_kept", "DELETE ON fund_month", [MONTH_BREACH]),
    ]


def _postgresql() -> list[str]:
    def trigger(name: str, event: str, breaches: list[tuple[str, str]], answer: str = "NEW") -> list[str]:
        checks = " ".join(
            f"IF {test} THEN RAISE EXCEPTION '{text}' USING ERRCODE = 'integrity_constraint_violation'; END IF;"
            for test, text in breaches
        )
        return [
            f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {checks} RETURN {answer}; END $$",
            f"CREATE TRIGGER {name} BEFORE {event} FOR EACH ROW EXECUTE FUNCTION {name}()",
        ]

    entry = [
        (test.format(posting_month="to_char(NEW.posting_date, 'YYYY-MM')"), text)
        for test, text in ENTRY_BREACHES
    ]
    return [
        *trigger("fund_entry_verify", "INSERT ON fund_entry", entry),
        *trigger("fund_line_verify", "INSERT ON fund_line", LINE_BREACHES[:1]),
        *trigger("fund_letter_verify", "INSERT ON fund_letter", LETTER_BREACHES),
        *trigger("fund_month_stays", "UPDATE ON fund_month", [MONTH_BREACH, MONTH_MOVED]),
        *trigger("fund_month_kept", "DELETE ON fund_month", [MONTH_BREACH], "OLD"),
    ]


# A month that was closed is not opened by a new row in its place.
FINISHED = {"fund_month": "closed_at IS NOT NULL"}


class Migration(migrations.Migration):
    dependencies = [("fund", "0001_initial")]
    operations = [
        migrations.RunPython(
            guard(APPEND_ONLY, SEALED, {"sqlite": _sqlite(), "postgresql": _postgresql()}, FINISHED),
            migrations.RunPython.noop,
        )
    ]
