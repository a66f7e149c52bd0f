"""Asks the rules of whose hands money may go through, with the crew as it is now."""

from collections.abc import Iterable

from fund.access.guards import require, roles_of
from fund.access.models import Person
from fund.access.powers import ACCOUNTANT, OWNER, TREASURER
from fund.refusal import NotAllowed, TwoPeopleNeeded
from fund.repayments.models import Repayment
from fund.repayments.rules import Hands, why_not_prepare, why_not_release

PREPARE, RELEASE = "repay.prepare", "repay.release"


def _crew() -> tuple[frozenset[str], frozenset[str]]:
    """Sign-in names of all active owners and of all active treasurers. One query."""
    rows = Person.objects.filter(is_active=True, groups__name__in=(OWNER, TREASURER))
    found: dict[str, set[str]] = {OWNER: set(), TREASURER: set()}
    for username, role in rows.values_list("username", "groups__name"):
        found.setdefault(role, set()).add(username)
    return frozenset(found[OWNER]), frozenset(found[TREASURER])


def hands_of(claimant: Person) -> Hands:
    """The claimant with all active owners and treasurers."""
    return Hands(claimant.username, *_crew())


def require_preparer(by: Person, claimant: Person) -> None:
    """Refuse who may not prepare money for this person."""
    if not roles_of(by) & {OWNER, TREASURER}:
        require(by, PREPARE)
    if why := why_not_prepare(by.username, roles_of(by), hands_of(claimant)):
        raise TwoPeopleNeeded(why) if by.pk == claimant.pk else NotAllowed(why)


def require_releaser(by: Person, claimant: Person, prepared_by: Person) -> None:
    """Refuse who may not release money that ``prepared_by`` prepared for this person."""
    if not roles_of(by) & {OWNER, ACCOUNTANT}:
        require(by, RELEASE)
    if why := why_not_release(by.username, roles_of(by), prepared_by.username, hands_of(claimant)):
        raise TwoPeopleNeeded(why) if by.pk in (claimant.pk, prepared_by.pk) else NotAllowed(why)


def may_prepare(by: Person, claimant: Person) -> bool:
    return not why_not_prepare(by.username, roles_of(by), hands_of(claimant))


def may_release(by: Person, claimant: Person, prepared_by: Person) -> bool:
    return not why_not_release(by.username, roles_of(by), prepared_by.username, hands_of(claimant))


def releasable(by: Person, rows: Iterable[Repayment]) -> list[Repayment]:
    """Of prepared repayments those that this person may release. One query, however many there are."""
    owners, treasurers = _crew()
    return [
        row
        for row in rows
        if not why_not_release(
            by.username,
            roles_of(by),
            row.prepared_by.username,
            Hands(row.person.username, owners, treasurers),
        )
    ]
