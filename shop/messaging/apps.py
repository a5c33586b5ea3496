from django.apps import AppConfig


class MessagingConfig(AppConfig):
    name = "shop.messaging"
    label = "messaging"

    def ready(self) -> None:
        """Models are ready now: what happens asks for messages, jobs remind."""
        from shop.messaging import asking, ended, reminding, wording  # noqa: PLC0415
        from shop.people.models import TextKind  # noqa: PLC0415
        from shop.records import jobs, messages, senders  # noqa: PLC0415

        asking.listen()
        messages.worded_by(wording.word)
        messages.ended_by(ended.tell)
        senders.paper_made_by(TextKind.INVOICE, wording.invoice_paper)
        jobs.every("remind customers", 900.0, reminding.job)
