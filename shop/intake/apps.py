from django.apps import AppConfig

HOUR = 3600.0


class IntakeConfig(AppConfig):
    name = "shop.intake"
    label = "intake"

    def ready(self) -> None:
        from shop.intake import (  # noqa: PLC0415  models are ready now
            drafts,
            passcodes,
            printed,
            slip_links,
        )
        from shop.records import jobs  # noqa: PLC0415

        passcodes.listen()
        drafts.listen()
        jobs.every("sweep intake drafts", HOUR, drafts.sweep)
        printed.offer()
        slip_links.listen()
