"""The few pages of allauth that the house uses, by the names that allauth asks for.

Each is ours: a view of this room with a template of this room. What is not here
(sign-up, e-mail, password by mail) can't be reached at all.
"""

from django.urls import path

from shop.people import factors, sign_in

urlpatterns = [
    path("sign-in/", sign_in.sign_in, name="account_login"),
    path("sign-in/again/", sign_in.again, name="account_reauthenticate"),
    path("sign-in/code/", sign_in.code, name="mfa_authenticate"),
    path("sign-in/passkey/", sign_in.passkey, name="mfa_login_webauthn"),
    path("sign-in/again/code/", sign_in.code_again, name="mfa_reauthenticate"),
    path(
        "sign-in/again/passkey/",
        sign_in.passkey_again,
        name="mfa_reauthenticate_webauthn",
    ),
    path("me/factors/", factors.factors, name="mfa_index"),
    path("me/factors/app/", factors.app, name="mfa_activate_totp"),
    path("me/factors/passkey/", factors.passkey, name="mfa_add_webauthn"),
    path("me/factors/codes/", factors.codes_shown, name="mfa_view_recovery_codes"),
    path(
        "me/factors/codes/new/", factors.codes_new, name="mfa_generate_recovery_codes"
    ),
]
