from datetime import time

from django.apps import AppConfig

BY_NIGHT = time(3, 50)  # UTC
HOUR = 3600.0


class RecordsConfig(AppConfig):
    name = "shop.records"
    label = "records"

    def ready(self) -> None:
        from shop.records import (  # noqa: PLC0415  models are ready now
            jobs,
            messages,
            spread,
            sweeping,
        )

        jobs.every("messages", 15.0, messages.send_job)
        jobs.every("sweep answers", HOUR, sweeping.answers_sweep)
        jobs.every("sweep sessions", HOUR, sweeping.sessions_sweep)
        jobs.every("sweep cache", HOUR, sweeping.cache_sweep)
        jobs.daily("look at how rows are spread", BY_NIGHT, spread.job)
