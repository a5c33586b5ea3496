from django.apps import AppConfig


class DeskConfig(AppConfig):
    name = "shop.desk"
    label = "desk"

    def ready(self) -> None:
        from shop.desk import advice, found_more  # noqa: PLC0415  models are ready

        advice.listen()
        found_more.listen()
