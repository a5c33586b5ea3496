from django.apps import AppConfig


class DeskConfig(AppConfig):
    name = "shop.desk"
    label = "desk"

    def ready(self) -> None:
        from shop.desk import (  # noqa: PLC0415  models are ready
            advice,
            day_ready,
            found_more,
            likely,
        )

        advice.listen()
        found_more.listen()
        day_ready.listen()
        likely.tell()
