from django.apps import AppConfig


class PeopleConfig(AppConfig):
    name = "shop.people"
    label = "people"

    def ready(self) -> None:
        from django.contrib.auth.signals import (  # noqa: PLC0415
            user_logged_in,
        )

        from shop.people import freshness  # noqa: PLC0415  models are ready now

        user_logged_in.connect(freshness.remember)
