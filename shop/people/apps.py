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

        from shop import money, shown  # noqa: PLC0415
        from shop.people import (  # noqa: PLC0415
            freshness,
            sign_in_log,  # noqa: F401
            texts,
        )
        from shop.records import messages  # noqa: PLC0415

        money.decimal_mark_by(shown.decimal_mark)
        user_logged_in.connect(freshness.begin)
        authentication_step_completed.connect(freshness.again)
        messages.allowed_by(texts.may_reach_customers)
