"""Signing in and out, with Django's own views; a person's own settings."""

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from shop.people import services
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, public, roles
from shop.people.forms import AgainForm, OwnForm
from shop.people.freshness import remember
from shop.records.idempotency import once

sign_in = public(
    LoginView.as_view(
        template_name="people/sign_in.html", redirect_authenticated_user=True
    )
)
sign_out = public(LogoutView.as_view())


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def again(request: AtWork) -> HttpResponse:
    """The password once more, before something tender."""
    typed = request.POST if request.method == "POST" else None
    form = AgainForm(typed, person=request.user)
    if form.is_bound and form.is_valid():
        update_session_auth_hash(request, request.user)
        remember(request)
        return redirect(_next(request))
    context = {"form": form, "next": request.GET.get("next", "")}
    return render(
        request, "people/again.html", context, status=422 if form.is_bound else 200
    )


def _next(request: AtWork) -> str:
    wanted = request.POST.get("next", "")
    is_ours = url_has_allowed_host_and_scheme(wanted, allowed_hosts=None)
    return wanted if wanted and is_ours else reverse("desk:home")


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
def own(request: AtWork) -> HttpResponse:
    person = request.user
    start = {"hides_suspects": person.hides_suspects}
    form = OwnForm(request.POST or None, initial=start)
    if form.is_bound and form.is_valid():
        services.settings_keep(person=person, **form.cleaned_data)
        messages.success(request, _("Kept."))
        return redirect("people:own")
    status = 422 if form.is_bound else 200
    return render(request, "people/own.html", {"form": form}, status=status)
