"""Slows machines down without following people: a hidden box, a moment of patience, and a count per address.

Nothing of it leaves this server. The address is not stored: the count is kept under a hash of it, made with this
server's secret and the hour, and deleted when the hour is over.
"""

import ipaddress
import time
from datetime import datetime, timedelta

from django.conf import settings
from django.core import signing
from django.db import transaction
from django.db.models import F
from django.http import HttpRequest
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext_noop as said

from fund import clock
from fund.refusal import NotReady
from jobs.intake.models_draft import Pace

SPAN = timedelta(hours=1)
AT_MOST = {
    "begin": 12,
    "send": 6,
}  # within a span; a library or shelter may help several people from one address
PATIENCE = 3  # seconds; nobody reads the first questions faster
HONEY = "website"
_SALT = "mendbook.asking.shown"


def moment() -> int:
    """Seconds by this machine's clock. Not fund.clock: that one may stand still, and this asks how long someone took."""
    return int(time.time())


def stamp() -> str:
    """When a page was shown, signed, to travel in a hidden box."""
    return signing.dumps(moment(), salt=_SALT, compress=True)


def too_quick(text: str) -> bool:
    """Whether a page comes back sooner than anyone can read it, or without the moment it was shown."""
    try:
        shown = signing.loads(text, salt=_SALT)
    except signing.BadSignature:
        return True
    return not isinstance(shown, int) or moment() - shown < PATIENCE


def stamp_again(text: str) -> str:
    """The moment a page was first shown, to travel along once more; a new one where it got lost."""
    try:
        signing.loads(text, salt=_SALT)
    except signing.BadSignature:
        return stamp()
    return text


def refuse_machines(request: HttpRequest, what: str) -> None:
    """Refuses a filled hidden box and a first page sent back too soon, then counts. Whoever is refused loses nothing."""
    if request.POST.get(HONEY):
        raise NotReady(said("Please leave the box empty that says so, and send this again."))
    if what == "begin" and too_quick(request.POST.get("shown", "")):
        raise NotReady(said("That was very quick. Please look at it once more, and press the button again."))
    count(what, address_of(request))


def address_of(request: HttpRequest) -> str:
    """Whom to count: the address; behind a proxy the last one it names; of IPv6 the first half, which is one household."""
    text = request.META.get("REMOTE_ADDR", "")
    if settings.HTTPS:
        text = request.META.get("HTTP_X_FORWARDED_FOR", text).split(",")[-1].strip()
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        return "unknown"
    if isinstance(address, ipaddress.IPv6Address) and address.ipv4_mapped is None:
        return str(ipaddress.ip_network((address, 64), strict=False))
    return str(address)


@transaction.atomic
def count(what: str, address: str) -> None:
    """Count one more of ``what`` from an address. Refuses when it was often enough within the hour."""
    now = clock.now()
    Pace.objects.filter(until__lte=now).delete()
    until = _end_of_span(now)
    mark = salted_hmac(
        "mendbook.asking.pace", f"{what}|{address}|{until.isoformat()}", algorithm="sha256"
    ).hexdigest()
    row, _ = Pace.objects.get_or_create(mark=mark, defaults={"until": until})
    if not Pace.objects.filter(pk=row.pk, times__lt=AT_MOST[what]).update(times=F("times") + 1):
        raise NotReady(
            said("This was tried often from here in the last hour. Please wait a while, or call us.")
        )


def _end_of_span(now: datetime) -> datetime:
    return now.replace(minute=0, second=0, microsecond=0) + SPAN
