from django.apps import AppConfig


class IntakeConfig(AppConfig):
    name = "shop.intake"
    label = "intake"

    def ready(self) -> None:
        from shop.intake import (  # noqa: PLC0415  models are ready now
            passcodes,
            printed,
            slip_links,
        )

        passcodes.listen()
        printed.offer()
        slip_links.listen()
