from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import get_object_or_404
from django.utils.http import content_disposition_header

from fund.access.guards import forbidden, may, power
from fund.access.powers import no_power_sentence
from fund.attachments.models import Attachment
from fund.attachments.queries import file_of

_TYPES = {"jpeg": "image/jpeg", "png": "image/png", "pdf": "application/pdf"}


@power("today.see")
def file(request: HttpRequest, code: str) -> HttpResponse:
    """The kept file, to those who hold the power it names. Strangers are not even told that it exists."""
    attachment = get_object_or_404(Attachment, code=code)
    if not may(request.user, attachment.power):
        return forbidden(request, no_power_sentence(attachment.power))
    if request.method not in ("GET", "HEAD"):
        return HttpResponseNotAllowed(["GET", "HEAD"])
    path = file_of(attachment)
    if not path.is_file():
        raise Http404
    response = HttpResponse(path.read_bytes(), content_type=_TYPES[attachment.kind])
    name = f"{attachment.code}{path.suffix}"
    response["Content-Disposition"] = content_disposition_header(attachment.kind == "pdf", name) or "inline"
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, no-store"
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response
