from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.models import Supporter
from fund.gifts.rules import SUPPORTER_KINDS
from fund.ledger.lock import hold_books
from fund.numbers import next_code
from fund.refusal import AlreadyDone, BadInput
from fund.trail.actions import record


@transaction.atomic
def add_supporter(
    *,
    by: Person,
    name: str,
    email: str = "",
    address: str = "",
    kind: str = "person",
    anonymous: bool = False,
    note: str = "",
) -> Supporter:
    """Write down a supporter. Refuses an empty name, and the same name with the same e-mail twice."""
    require(by, "gift.record")
    hold_books()
    name, email = name.strip(), email.strip().lower()
    _check_supporter(name, kind)
    twin = Supporter.objects.filter(name__iexact=name, email=email).first() if email else None
    if twin:
        raise AlreadyDone(f"{name} with this e-mail is already written down as {twin.code}.")
    supporter = Supporter.objects.create(
        code=next_code(Supporter, "code", "S-"),
        name=name,
        email=email,
        address=address.strip(),
        kind=kind,
        anonymous=anonymous,
        note=note.strip(),
    )
    record(by=by, action="supporter.add", subject=supporter.code, text=f"New supporter {supporter.code}.")
    return supporter


@transaction.atomic
def edit_supporter(
    *,
    by: Person,
    supporter: Supporter,
    name: str,
    email: str,
    address: str,
    kind: str,
    anonymous: bool,
    note: str = "",
) -> Supporter:
    """Correct what is known of a supporter. The books keep the code, so no entry changes."""
    require(by, "gift.record")
    hold_books()
    if Supporter.objects.filter(pk=supporter.pk, erased_at__isnull=False).exists():
        raise BadInput(f"{supporter.code} was erased on request and stays as it is.")
    _check_supporter(name.strip(), kind)
    new = {
        "name": name.strip(),
        "email": email.strip().lower(),
        "address": address.strip(),
        "kind": kind,
        "anonymous": anonymous,
        "note": note.strip(),
    }
    changed = sorted(field for field, value in new.items() if getattr(supporter, field) != value)
    for field in changed:
        setattr(supporter, field, new[field])
    if changed:
        supporter.save(update_fields=changed)
        text = f"{supporter.code}: changed {', '.join(changed)}."
        record(by=by, action="supporter.edit", subject=supporter.code, text=text)
    return supporter


def _check_supporter(name: str, kind: str) -> None:
    if not name:
        raise BadInput(
            "Write the supporter's name. Someone who wants no name in public can still be marked so."
        )
    if kind not in SUPPORTER_KINDS:
        raise BadInput(f"“{kind}” is neither a person nor an organization.")
