from django.apps import AppConfig


class OfficeConfig(AppConfig):
    name = "shop.office"
    label = "office"

    def ready(self) -> None:
        """Models are ready now."""
        from shop.office import counted  # noqa: PLC0415
        from shop.office.acting import ready  # noqa: PLC0415
        from shop.office.turnaround import counting  # noqa: PLC0415
        from shop.office.weekly import mailing, services  # noqa: PLC0415
        from shop.records import jobs, messages, senders  # noqa: PLC0415

        ready.listen()
        messages.worded_by(mailing.word, services.WEEKLY)
        senders.paper_made_by(services.WEEKLY, mailing.paper)
        jobs.every("count days of tickets", 60.0, counting.job)
        jobs.every("weekly sheet", 900.0, services.job)
        jobs.every("count the office", counted.EVERY, counted.job)
