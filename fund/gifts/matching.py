"""Who gave: supporters of a payout file, found or newly written down. Part of the import action."""

from dataclasses import dataclass

from fund.bulk import among, insert_rows
from fund.gifts.models import Platform, Supporter, SupporterKey
from fund.gifts.rules import PERSON
from fund.gifts.rules_rows import FileRow
from fund.numbers import next_codes


@dataclass(slots=True, eq=False)
class Giver:
    """A supporter as an import needs it; `pk` is 0 until a new one is written."""

    pk: int
    code: str
    name: str
    email: str
    anonymous: bool
    fresh: bool = False


_COLUMNS = ("pk", "code", "name", "email", "anonymous")


def match_supporters(platform: Platform, rows: list[FileRow]) -> dict[int, Giver]:
    """The supporter of each row, by row number; a row that says nothing of its giver has none.

    Known by the platform's own id, else by an e-mail that exactly one supporter has, else written down anew. A
    name alone never joins two people across files: two supporters may share one.
    """
    by_key = _by_key(platform, sorted({row.supporter_id for row in rows if row.supporter_id}))
    by_email = _by_email(sorted({row.email for row in rows if row.email}))
    by_name: dict[str, Giver] = {}
    fresh: list[Giver] = []
    keys: list[tuple[str, Giver]] = []
    found: dict[int, Giver] = {}
    for row in rows:
        key, email, name = row.supporter_id, row.email, row.name
        if not (key or email or name):
            continue
        giver = by_key.get(key) or by_email.get(email)
        if giver is None and not key and not email:
            giver = by_name.get(name)
        if giver is None:
            giver = Giver(0, "", name or email or f"{platform.name} {key}", email, False, True)
            fresh.append(giver)
        found[row.row] = giver
        if key and key not in by_key:
            by_key[key] = giver
            keys.append((key, giver))
        if email:
            by_email.setdefault(email, giver)
        elif not key:
            by_name[name] = giver
    _hide([found[row.row] for row in rows if row.hidden and row.row in found])
    _write(platform, fresh, keys)
    return found


def _hide(givers: list[Giver]) -> None:
    """A file can ask for a name to be left out in public, and never that a hidden one be shown."""
    codes = sorted({giver.code for giver in givers if giver.pk and not giver.anonymous})
    for giver in givers:
        giver.anonymous = True
    if codes:
        Supporter.objects.filter(code__in=among(codes)).update(anonymous=True)


def _write(platform: Platform, fresh: list[Giver], keys: list[tuple[str, Giver]]) -> None:
    codes = next_codes(Supporter, "code", "S-", len(fresh)) if fresh else []
    for giver, code in zip(fresh, codes, strict=True):
        giver.code = code
    names = ("code", "name", "email", "address", "kind", "anonymous", "note")
    insert_rows(Supporter, names, [(g.code, g.name, g.email, "", PERSON, g.anonymous, "") for g in fresh])
    pks = dict(Supporter.objects.filter(code__in=among(codes)).order_by().values_list("code", "pk"))
    for giver in fresh:
        giver.pk = pks[giver.code]
    rows = [(giver.pk, platform.pk, key) for key, giver in keys]
    insert_rows(SupporterKey, ("supporter", "platform", "key"), rows)


def known_supporters(platform: Platform, rows: list[FileRow]) -> dict[int, int]:
    """The keys of supporters that the books know already, by row number; nobody is written down."""
    by_key = _by_key(platform, sorted({row.supporter_id for row in rows if row.supporter_id}))
    by_email = _by_email(sorted({row.email for row in rows if row.email}))
    found = {row.row: by_key.get(row.supporter_id) or by_email.get(row.email) for row in rows}
    return {number: giver.pk for number, giver in found.items() if giver}


def _by_key(platform: Platform, keys: list[str]) -> dict[str, Giver]:
    found = SupporterKey.objects.filter(platform=platform, key__in=among(keys)).order_by()
    columns = [f"supporter__{column}" for column in _COLUMNS]
    # Two keys may lead to one supporter, who must then be one Giver.
    givers: dict[int, Giver] = {}
    return {
        key: givers.setdefault(told[0], Giver(*told)) for key, *told in found.values_list("key", *columns)
    }


def _by_email(emails: list[str]) -> dict[str, Giver]:
    found: dict[str, dict[int, Giver]] = {}
    rows = Supporter.objects.filter(email__in=among(emails)).order_by()
    names = [*_COLUMNS, *(f"merged_into__{column}" for column in _COLUMNS)]
    for told in rows.values_list(*names):
        # Someone merged into another leads to the one that was kept.
        own, kept = told[: len(_COLUMNS)], told[len(_COLUMNS) :]
        giver = Giver(*(kept if kept[0] else own))
        found.setdefault(own[3], {})[giver.pk] = giver
    return {email: next(iter(many.values())) for email, many in found.items() if len(many) == 1}
