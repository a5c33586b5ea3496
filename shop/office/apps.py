from django.apps import AppConfig


class OfficeConfig(AppConfig):
    name = "shop.office"
    label = "office"

    def ready(self) -> None:
        from shop.office.acting import ready  # noqa: PLC0415  models are ready now

        ready.listen()
