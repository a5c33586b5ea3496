"""The owner's page of backups, and the sheet by which a lost machine is replaced."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from shop.keeping import copies, recovery, sheets
from shop.keeping.recovery import Key
from shop.people.access import OWNER, AtWork, fresh, roles
from shop.records import jobs
from shop.records.errors import Refused
from shop.records.idempotency import once
from shop.records.kinds import Kind
from shop.records.models import Event, JobRun

NIGHTLY = "nightly backup"


@roles(OWNER)
@require_GET
def keeping(request: AtWork) -> HttpResponse:
    return _page(request)


def _page(request: AtWork, refusal: str = "") -> HttpResponse:
    now, keys = timezone.now(), recovery.known()
    events = Event.objects.filter(shop_id=request.shop.pk, kind=Kind.SHOP_RESTORED)
    context = {
        "places": [(one, one.is_late_at(now)) for one in copies.places()],
        "run": JobRun.objects.filter(name=NIGHTLY).first(),
        "has_key": bool(keys),
        "is_told": all(key.is_told for key in keys),
        "is_from_outside": recovery.is_from_outside(),
        "restores": events.order_by("-id")[:5],
        "refusal": refusal,
    }
    status = 422 if refusal else 200
    return render(request, "keeping/keeping.html", context, status=status)


@roles(OWNER)
@require_POST
@once
def backup_ask(request: AtWork) -> HttpResponse:
    """The job process makes it: a page can't wait for a big shop's."""
    jobs.hasten(NIGHTLY)
    messages.success(request, _("A backup is made within a minute, by the jobs."))
    return redirect("keeping:keeping")


@roles(OWNER)
@require_GET
def sheet(request: AtWork) -> HttpResponse:
    """The sheet with an empty line for the key."""
    return pdf(sheets.sheet(request.shop, timezone.now()))


@roles(OWNER)
@require_POST
@fresh
@never_cache
def key_print(request: AtWork) -> HttpResponse:
    """The sheet with the key, this once. Not ``once``, which would keep it."""
    untold = [key for key in recovery.known() if not key.is_told]
    if not untold or "print" not in request.POST:
        return _page(request, _("The recovery key was told already."))
    return _with_key(request, untold[-1])


@roles(OWNER)
@require_POST
@fresh
@never_cache
def key_new(request: AtWork) -> HttpResponse:
    """A new key for the backups from now on, printed this once."""
    if "sure" not in request.POST:
        said = _("Tick first that older backups still want the older key.")
        return _page(request, said)
    try:
        key = recovery.key_make(is_told=False)
    except Refused as refused:
        return _page(request, str(refused))
    return _with_key(request, key)


def _with_key(request: AtWork, key: Key) -> HttpResponse:
    response = pdf(sheets.sheet(request.shop, timezone.now(), key=key))
    recovery.all_told()
    return response


def pdf(body: bytes) -> HttpResponse:
    response = HttpResponse(body, content_type="application/pdf")
    response["Content-Disposition"] = 'attachment; filename="restore-sheet.pdf"'
    response["Cache-Control"] = "no-store"
    return response
