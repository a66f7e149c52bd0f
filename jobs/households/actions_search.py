from fund.sealed import digest
from jobs.households.identity import marks
from jobs.households.models import Household
from jobs.households.models_search import SearchKey
from jobs.households.queries_search import identity_of


def write_keys(household: Household) -> int:
    """Write the digests of a household anew; returns how many were new. Part of every action that changes what it is
    found by.

    Call it inside that action's transaction, after the change. Only what differs is written.
    """
    wanted = {digest(kind, value): kind for kind, value in marks(identity_of(household))}
    present = set(household.search_keys.values_list("digest", flat=True))
    household.search_keys.filter(digest__in=present - set(wanted)).delete()
    new = SearchKey.objects.bulk_create(
        SearchKey(household=household, kind=kind, digest=made)
        for made, kind in wanted.items()
        if made not in present
    )
    return len(new)
