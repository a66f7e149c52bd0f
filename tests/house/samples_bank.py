"""The bank's part of one of everything: a statement with all the books know, a line of its own, a file that waits."""

from datetime import date

from fund import clock
from fund.bank.actions import confirm, post_missing
from fund.bank.actions_import import import_statement
from fund.bank.actions_job import begin_job
from fund.bank.actions_layouts import save_layout
from fund.bank.actions_reconcile import reconcile
from fund.bank.actions_upload import keep_upload
from fund.bank.models import MatchGroup, StatementFile, StatementJob, StatementLine, StatementUpload
from fund.bank.queries_open import open_items, open_lines
from fund.bank.queries_reconciling import bank_balance, reckon
from fund.bank.rules_csv import CsvSpec
from fund.ledger.models import Entry
from fund.money import Money, total
from tests.fund.bank.files import ofx, trn
from tests.reports.month.march import Crew

AFTER = date(2026, 4, 1)


def plain(amount: Money) -> str:
    return str(amount).replace(",", "")


def bank_shows(crew: Crew, ref: str, day: date, own: str = "-1.00") -> None:
    """A statement in which the bank shows all that is open in the books, and one line of its own that stays open."""
    by, items = crew.treasurer, open_items()
    whole = total(item.amount for item in items)
    before = bank_balance(day)
    rows = [trn(f"{ref}-own", f"{day:%Y%m%d}", own, f"Card of {ref}")]
    if whole:
        rows.insert(0, trn(f"{ref}-all", f"{day:%Y%m%d}", plain(whole), "All of it"))
    closing = plain(before + whole + Money(int(own.replace(".", ""))))
    import_statement(by=by, data=ofx(rows, closing, f"{day:%Y%m%d}"), filename=f"{ref}.ofx")
    if whole:
        entries = list(Entry.objects.filter(number__in=[item.number for item in items]))
        confirm(by=by, lines=[StatementLine.objects.get(ref=f"{ref}-all")], entries=entries)


def live_bank(crew: Crew) -> None:
    """March reconciled (what stays open is called the bank's mistake), and a file of April that waits."""
    by = crew.treasurer
    bank_shows(crew, "march", date(2026, 3, 31))
    spec = CsvSpec("mill-bank", {"date": "Day", "amount": "Moved"})
    layout = save_layout(by=by, spec=spec)
    import_statement(by=by, data=b"Day,Moved\n2026-03-31,-9.00\n", filename="fee.csv", layout=layout)
    post_missing(by=by, line=StatementLine.objects.get(amount=Money(-9_00)), kind="charge")
    with clock.at(AFTER):
        errors = {line.pk: "The bank was told." for line in open_lines(date(2026, 3, 31))}
        sheet = reckon("2026-03", bank_errors=errors)
        notes = {item.key: "Known." for item in sheet.reckoning.unexplained}
        reconcile(
            by=by,
            month="2026-03",
            statement_balance=sheet.reckoning.statement,
            bank_errors=errors,
            notes=notes,
        )
    kept = keep_upload(by=by, data=b"Day,Moved\n2026-04-01,2.00\n", filename="april.csv", layout=layout)
    begin_job(by=by, upload=kept)


def bank_samples() -> dict[str, dict[str, object]]:
    """What stands in the path of the bank's pages."""
    upload: dict[str, object] = {"pk": StatementUpload.objects.latest("pk").pk}
    waiting = open_lines().latest("pk")
    return {
        "bank": {
            "code": "patch-circle",
            "key": "2026-03",
            "name": "mill-bank",
            "pk": StatementFile.objects.earliest("pk").pk,
        },
        "bank:upload-preview": upload,
        "bank:upload-take": upload,
        "bank:upload-drop": upload,
        "bank:upload-job": {"pk": StatementJob.objects.earliest("pk").pk},
        "bank:statement-line": {"pk": waiting.pk},
        "bank:settle": {"pk": waiting.pk},
        "bank:undo": {"code": MatchGroup.objects.latest("pk").code},
    }
