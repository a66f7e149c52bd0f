from typing import Any

from django.http import HttpRequest

from fund.access.guards import may, roles_of
from fund.access.powers import POWERS


def crew(request: HttpRequest) -> dict[str, Any]:
    """``can`` in templates: the powers of the person asking, with dots as underscores (``can.gift_record``).

    Empty on public pages, so that they make no query.
    """
    if not request.path.startswith("/crew/") or not getattr(request, "user", None):
        return {"can": {}}
    return {
        "can": {name.replace(".", "_"): may(request.user, name) for name in POWERS},
        "roles": roles_of(request.user),
    }
