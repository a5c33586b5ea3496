"""The trust page and its files, the doctor's page, the service worker."""

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.http.request import split_domain_port
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shop.people.access import before_the_shop, public
from shop.people.models import WORK_ROLES
from shop.serving import certificates, devices, keeping, looking
from shop.serving.announcing import in_rows, name_of_shop
from shop.serving.profile import profile_of
from shop.serving.words import line_of

COOKIE = "coldrail-doctor"
WORKER = settings.BASE_DIR / "static" / "js" / "sw.js"
FORMS = {
    "crt": "application/x-x509-ca-cert",
    "pem": "application/x-pem-file",
    "mobileconfig": "application/x-apple-aspen-config",
}


@before_the_shop
@public
@require_safe
@never_cache
def trust(request: HttpRequest) -> HttpResponse:
    """How a device comes to trust the shop's server. Open, also without TLS."""
    authority = keeping.authority_in(settings.TLS_DIR)
    context: dict[str, object] = {"address": settings.SHOP_ADDRESS}
    if authority is not None:
        context |= {
            "authority": authority,
            "rows": in_rows(certificates.fingerprint(authority)),
            "made": authority.not_valid_before_utc + certificates.EARLIER,
            "until": authority.not_valid_after_utc,
            "systems": devices.in_order(request.headers.get("User-Agent", "")),
        }
    return render(request, "serving/trust.html", context)


@before_the_shop
@public
@require_safe
@never_cache
def authority(_request: HttpRequest, form: str) -> HttpResponse:
    """The authority's certificate as a file that systems know what to do with."""
    held = keeping.authority_in(settings.TLS_DIR)
    if held is None:
        raise Http404
    content = {
        "crt": lambda: certificates.der_of(held),
        "pem": lambda: certificates.pem_of(held),
        "mobileconfig": lambda: profile_of(held, name_of_shop()),
    }[form]()
    response = HttpResponse(content, content_type=FORMS[form])
    if form != "mobileconfig":  # a tablet opens a profile, and only keeps a download
        name = f"coldrail.{form}"
        response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


@before_the_shop
@public
@require_safe
@never_cache
def doctor(request: HttpRequest) -> HttpResponse:
    """The tablet for everybody, the server for who works here."""
    is_at_work = bool(getattr(request, "held_roles", set()) & set(WORK_ROLES))
    found = looking.findings(host_of(request)) if is_at_work else []
    lines = [line_of(finding) for finding in found]
    response = render(request, "serving/doctor.html", {"lines": lines})
    response.set_cookie(
        COOKIE,
        "1",
        max_age=3600,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Strict",
    )
    return response


@before_the_shop
@public
@require_safe
@never_cache
def answer(request: HttpRequest) -> JsonResponse:
    """What the doctor's page asks from the tablet: the time, and its cookie."""
    return JsonResponse(
        {
            "now": timezone.now().timestamp(),
            "cookie": request.COOKIES.get(COOKIE) == "1",
        }
    )


@before_the_shop
@public
@require_safe
def service_worker(_request: HttpRequest) -> HttpResponse:
    """At the root, so that its scope is the whole shop."""
    response = HttpResponse(WORKER.read_bytes(), content_type="text/javascript")
    response["Cache-Control"] = "no-cache"
    return response


def host_of(request: HttpRequest) -> str:
    """The name or address that the visitor typed, without its port."""
    return split_domain_port(request.get_host())[0].strip("[]")
