from datetime import time

from django.apps import AppConfig

AT_NIGHT = time(4, 10)


class RightsConfig(AppConfig):
    name = "shop.rights"
    label = "rights"

    def ready(self) -> None:
        from shop.records import jobs, restored  # noqa: PLC0415  models are ready now
        from shop.rights import again, due  # noqa: PLC0415

        restored.after("erased again", again.after_restore)
        restored.LISTS.add(again.NAME)
        jobs.daily("erase what is due", AT_NIGHT, due.job)
