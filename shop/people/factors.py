"""A person's own password, second factors, PIN and badges. All but looking is fresh."""

from typing import Any

from allauth.mfa.adapter import get_adapter
from allauth.mfa.base.internal.flows import delete_and_cleanup
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal import flows as codes
from allauth.mfa.totp.views import ActivateTOTPView
from allauth.mfa.webauthn.internal import auth as webauthn
from allauth.mfa.webauthn.views import AddWebAuthnView
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from shop.people import gates, pins, services
from shop.people.access import AtWork, fresh
from shop.people.sign_in import Refusing, at_work
from shop.people.sign_in_forms import PasswordForm, PinForm
from shop.records.errors import Refused
from shop.records.idempotency import once


@at_work
@require_GET
def factors(request: AtWork) -> HttpResponse:
    """Everything by which this person comes in, and what is still missing."""
    held = Authenticator.objects.filter(user=request.user)
    of_type = {kind: [a for a in held if a.type == kind] for kind in Authenticator.Type}
    spare = of_type[Authenticator.Type.RECOVERY_CODES]
    context = {
        "app": of_type[Authenticator.Type.TOTP],
        "passkeys": of_type[Authenticator.Type.WEBAUTHN],
        "spare_codes": len(spare[0].wrap().get_unused_codes()) if spare else 0,
        "is_asked_for": gates.lacks_factor(request, request.user),
        "has_factor": gates.has_factor(request.user),
        "has_pin": hasattr(request.user, "pin"),
        "is_pin_asleep": pins.is_asleep(request.user),
        "badges": request.user.badges.filter(ended_at=None),
    }
    return render(request, "people/factors.html", context)


class App(Refusing, ActivateTOTPView):  # type: ignore[misc]
    template_name = "people/app.html"

    def dispatch(self, request: AtWork, *args: Any, **kwargs: Any) -> HttpResponse:
        """One app a person: a second one is set up after the first is ended."""
        kind = Authenticator.Type.TOTP
        if Authenticator.objects.filter(user=request.user, type=kind).exists():
            return redirect("mfa_index")
        response: HttpResponse = super().dispatch(request, *args, **kwargs)
        return response

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """The QR drawn in the page, since the policy lets no picture in as data."""
        shown: dict[str, Any] = super(ActivateTOTPView, self).get_context_data(**kwargs)
        adapter = get_adapter()
        url = adapter.build_totp_url(self.request.user, shown["form"].secret)
        drawn = mark_safe(adapter.build_totp_svg(url))  # noqa: S308  segno's drawing
        secret = shown["form"].secret
        groups = [secret[at : at + 4] for at in range(0, len(secret), 4)]
        return shown | {"code": drawn, "secret": " ".join(groups)}


class Passkey(Refusing, AddWebAuthnView):  # type: ignore[misc]
    template_name = "people/passkey.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """A passkey lies in the device and opens by finger, face or number."""
        shown: dict[str, Any] = super(AddWebAuthnView, self).get_context_data(**kwargs)
        options = webauthn.begin_registration(self.request.user, True)
        return shown | {"js_data": {"creation_options": options}}

    def get_form_kwargs(self) -> dict[str, Any]:
        kwargs: dict[str, Any] = super().get_form_kwargs()
        kwargs["initial"] = {"name": _("This device")}
        return kwargs


app = at_work(fresh(App.as_view()))
passkey = at_work(fresh(Passkey.as_view()))


@at_work
@require_POST
@fresh
@once
def factor_end(request: AtWork) -> HttpResponse:
    """A passkey or the app answers no more; other sessions of the person end."""
    held = Authenticator.objects.exclude(type=Authenticator.Type.RECOVERY_CODES)
    number = request.POST.get("factor", "")
    own = held.filter(user=request.user)
    factor = get_object_or_404(own, pk=number if number.isdigit() else 0)
    delete_and_cleanup(request, factor)
    request.session.pop(gates.HAS_FACTOR, None)
    services.sessions_end(request.user)
    update_session_auth_hash(request, request.user)
    messages.success(request, _("Ended. Your sessions elsewhere ended too."))
    return redirect("mfa_index")


@at_work
@require_POST
@fresh
@once
def codes_new(request: AtWork) -> HttpResponse:
    if not codes.can_generate_recovery_codes(request.user):
        messages.error(request, _("First a passkey or an app, then spare codes."))
        return redirect("mfa_index")
    codes.generate_recovery_codes(request)
    return redirect("mfa_view_recovery_codes")


@at_work
@require_http_methods(["GET", "POST"])
@fresh
def codes_shown(request: AtWork) -> HttpResponse:
    """Spare codes, told once, to a tap: looking at an address uses nothing up.

    Not ``once``, which would keep the codes in the database.
    """
    if request.method == "POST" and "show" not in request.POST:
        return HttpResponse(status=422)
    spare = Authenticator.objects.filter(
        user=request.user, type=Authenticator.Type.RECOVERY_CODES
    ).first()
    if spare is None or spare.wrap().did_view:
        return redirect("mfa_index")
    if request.method == "GET":
        return render(request, "people/codes.html")
    held, _is_first = codes.view_recovery_codes(request)
    return render(request, "people/codes.html", {"codes": held.get_unused_codes()})


@at_work
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
@fresh
def password(request: AtWork) -> HttpResponse:
    """A new password; every session elsewhere ends."""
    typed = request.POST if request.method == "POST" else None
    form = PasswordForm(typed, person=request.user)
    if form.is_bound and form.is_valid():
        services.password_keep(
            person=request.user, password=form.cleaned_data["password"]
        )
        update_session_auth_hash(request, request.user)
        messages.success(request, _("Your new password holds from now on."))
        return redirect(reverse("mfa_index"))
    context = {"form": form, "is_first": request.user.must_change_password}
    status = 422 if form.is_bound else 200
    return render(request, "people/password.html", context, status=status)


@at_work
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
@fresh
def pin(request: AtWork) -> HttpResponse:
    """One's own PIN. Not kept with ``once``: four digits show through any hash."""
    form = PinForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        try:
            pins.pin_set(
                person=request.user,
                shop=request.shop,
                digits=form.cleaned_data["pin"],
            )
        except Refused as refused:
            form.add_error("pin", str(refused))
        else:
            messages.success(request, _("Your PIN is set."))
            return redirect("mfa_index")
    status = 422 if form.is_bound else 200
    return render(request, "people/pin.html", {"form": form}, status=status)
