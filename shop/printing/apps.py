from django.apps import AppConfig


class PrintingConfig(AppConfig):
    name = "shop.printing"
    label = "printing"

    def ready(self) -> None:
        from shop.printing import sheets  # noqa: PLC0415  models are ready now

        sheets.offer()
