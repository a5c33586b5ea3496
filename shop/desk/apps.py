from django.apps import AppConfig


class DeskConfig(AppConfig):
    name = "shop.desk"
    label = "desk"

    def ready(self) -> None:
        from shop.desk import advice  # noqa: PLC0415  models are ready now

        advice.listen()
