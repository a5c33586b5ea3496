from datetime import time

from django.apps import AppConfig

AT_NIGHT = time(2, 30)


class KeepingConfig(AppConfig):
    name = "shop.keeping"
    label = "keeping"

    def ready(self) -> None:
        from shop.keeping import backups, place  # noqa: PLC0415  models are ready now
        from shop.records import jobs  # noqa: PLC0415

        place.place_told_by(place.of_the_shop)
        jobs.daily("nightly backup", AT_NIGHT, backups.nightly, backups.shop_zone)
