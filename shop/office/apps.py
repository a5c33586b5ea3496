from django.apps import AppConfig


class OfficeConfig(AppConfig):
    name = "shop.office"
    label = "office"

    def ready(self) -> None:
        """Models are ready now."""
        from shop.office.turnaround import counting  # noqa: PLC0415
        from shop.records import jobs  # noqa: PLC0415

        jobs.every("count days of tickets", 60.0, counting.job)
