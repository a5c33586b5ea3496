from datetime import time

from django.apps import AppConfig

AT_NIGHT = time(3, 30)


class PhotosConfig(AppConfig):
    name = "shop.photos"
    label = "photos"

    def ready(self) -> None:
        from shop.photos import links, sweeping  # noqa: PLC0415  models are ready now
        from shop.records import jobs, restored  # noqa: PLC0415

        restored.after("photo links", links.after_restore)
        jobs.daily("sweep photos", AT_NIGHT, sweeping.job)
