"""Signing in, and again before something tender: allauth's flows on our own pages."""

from typing import Any

from allauth.account.forms import LoginForm
from allauth.account.views import LoginView
from allauth.account.views import ReauthenticateView as AgainView
from allauth.mfa.base.views import AuthenticateView
from allauth.mfa.base.views import ReauthenticateView as CodeAgainView
from allauth.mfa.webauthn.views import LoginWebAuthnView, ReauthenticateWebAuthnView
from django.contrib.auth import logout
from django.contrib.auth.views import LogoutView, redirect_to_login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext_lazy as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from shop.people.access import (
    AUDITOR,
    FRONT_DESK,
    OWNER,
    TECHNICIAN,
    AtWork,
    is_quick,
    public,
    roles,
)

at_work = roles(FRONT_DESK, TECHNICIAN, OWNER, AUDITOR)


class Refusing:
    """What is wrong in a form is answered with 422, as everywhere in the house."""

    def form_invalid(self, form: Any) -> HttpResponse:
        response: HttpResponse = super().form_invalid(form)  # type: ignore[misc]
        if response.status_code == 200:
            response.status_code = 422
        return response


class NameForm(LoginForm):  # type: ignore[misc]
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        name, password = self.fields["login"], self.fields["password"]
        name.label, password.label = _("Sign-in name"), _("Password")
        password.help_text = ""
        for field in (name, password):
            field.widget.attrs.pop("placeholder", None)

    def add_prefix(self, field_name: str) -> str:
        """The house calls the field ``username``, as browsers know it."""
        return super().add_prefix(  # type: ignore[no-any-return]
            "username" if field_name == "login" else field_name
        )


class SignIn(Refusing, LoginView):  # type: ignore[misc]
    form_class = NameForm
    template_name = "people/sign_in.html"


class Code(Refusing, AuthenticateView):  # type: ignore[misc]
    template_name = "people/code.html"

    def form_invalid(self, form: Any) -> HttpResponse:
        response: HttpResponse = self.render_to_response(self.get_context_data())
        response.status_code = 422
        return response


class Again(Refusing, AgainView):  # type: ignore[misc]
    template_name = "people/again.html"


class CodeAgain(Refusing, CodeAgainView):  # type: ignore[misc]
    template_name = "people/again_code.html"


class PasskeyAgain(Refusing, ReauthenticateWebAuthnView):  # type: ignore[misc]
    template_name = "people/again_passkey.html"

    def form_invalid(self, form: Any) -> HttpResponse:
        response: HttpResponse = self.render_to_response(self.get_context_data())
        response.status_code = 422
        return response


class Passkey(LoginWebAuthnView):  # type: ignore[misc]
    """A passkey alone: something held, opened by a finger or a number of its own."""


sign_in = public(SignIn.as_view())
code = public(Code.as_view())
passkey = public(Passkey.as_view())
code_again = at_work(CodeAgain.as_view())
passkey_again = at_work(PasskeyAgain.as_view())
_again = Again.as_view()


@at_work
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def again(request: AtWork) -> HttpResponse:
    """The password once more; after a PIN, the whole sign-in instead."""
    if not is_quick(request):
        response: HttpResponse = _again(request)
        return response
    if request.method == "POST" and "full" in request.POST:
        logout(request)
        return redirect_to_login(safe_next(request))
    context = {"next": request.GET.get("next", "")}
    status = 422 if request.method == "POST" else 200
    return render(request, "people/needs_full.html", context, status=status)


@public
@require_http_methods(["GET", "POST"])
def sign_out(request: HttpRequest) -> HttpResponse:
    """Out; at a bench tablet back to the names."""
    if request.method == "GET":
        return redirect("people:sign_in")
    response = LogoutView.as_view()(request)
    station = getattr(request, "station", None)
    if station is not None and station.is_bench:
        return redirect("people:switch")
    assert isinstance(response, HttpResponse)
    return response


def too_often(request: HttpRequest) -> HttpResponse:
    """The page of too many tries, for allauth's rate limits."""
    return render(request, "people/too_often.html", status=429)


def safe_next(request: HttpRequest, otherwise: str = "/") -> str:
    """Where a form said that its person wants to go, if that lies in this house."""
    wanted = request.POST.get("next", "")
    is_ours = url_has_allowed_host_and_scheme(wanted, allowed_hosts=None)
    return wanted if wanted and is_ours else otherwise
