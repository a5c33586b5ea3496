"""Signing in and out, with Django's own views."""

from django.contrib.auth.views import LoginView, LogoutView

from shop.people.access import public

sign_in = public(
    LoginView.as_view(
        template_name="people/sign_in.html", redirect_authenticated_user=True
    )
)
sign_out = public(LogoutView.as_view())
