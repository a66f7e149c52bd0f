"""What the close list tells of receipts worth a second look. It never stops a close."""

from datetime import date

from fund.receipts.queries_look import open_looks
from reports.month.rules_close import Stop, many


def look_stops(end: date) -> list[Stop]:
    found = open_looks(end)
    if not found:
        return []
    kinds = list(dict.fromkeys(look.what for look in found))
    text = (
        f"{many(len(found), 'thing', 'things')} about receipts until {end} would be asked by an auditor: {'; '.join(kinds)}."
        " The reason is written down by somebody it does not concern."
    )
    who = "the owner, the treasurer or the accountant"
    return [Stop("second look", text, who, False, "/crew/receipts/second-look/")]
