from django.apps import AppConfig


class PeopleConfig(AppConfig):
    name = "shop.people"
    label = "people"

    def ready(self) -> None:
        """Models are ready now: the sign-in tells the house what happened."""
        from allauth.account.signals import (  # noqa: PLC0415
            authentication_step_completed,
        )
        from django.contrib.auth.signals import user_logged_in  # noqa: PLC0415

        from shop.people import freshness, sign_in_log  # noqa: F401, PLC0415

        user_logged_in.connect(freshness.begin)
        authentication_step_completed.connect(freshness.again)
