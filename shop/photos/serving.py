"""A photo's bytes over the wire: always as JPEG, never as anything that can run."""

from django.core.files.storage import default_storage
from django.http import Http404, HttpResponse
from django.utils.http import content_disposition_header

SANDBOX = "sandbox; default-src 'none'"


def jpeg(file: str, shown_as: str) -> HttpResponse:
    """``shown_as`` is a name of ours: nothing of it was typed or sent."""
    try:
        with default_storage.open(file) as opened:
            body: bytes = opened.read()
    except FileNotFoundError:
        raise Http404 from None
    response = HttpResponse(body, content_type="image/jpeg")
    named = content_disposition_header(as_attachment=False, filename=shown_as)
    response["Content-Disposition"] = named or "inline"
    response["Content-Security-Policy"] = SANDBOX
    response["X-Content-Type-Options"] = "nosniff"
    response["Cross-Origin-Resource-Policy"] = "same-origin"
    response["Cache-Control"] = "no-store"
    return response
