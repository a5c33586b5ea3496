from django.apps import AppConfig


class PrintingConfig(AppConfig):
    name = "shop.printing"
    label = "printing"

    def ready(self) -> None:
        from shop.printing import sheets, waiting  # noqa: PLC0415  models are ready now
        from shop.records import jobs  # noqa: PLC0415

        sheets.offer()
        jobs.every("print what waits", 3.0, waiting.job)
