from django.apps import AppConfig


class MessagingConfig(AppConfig):
    name = "shop.messaging"
    label = "messaging"

    def ready(self) -> None:
        """Models are ready now: what happens asks for messages, jobs remind."""
        from shop.messaging import (  # noqa: PLC0415
            accounts,
            asking,
            ended,
            reminding,
            wording,
        )
        from shop.people.models import TextKind  # noqa: PLC0415
        from shop.records import jobs, messages, senders  # noqa: PLC0415

        asking.listen()
        messages.worded_by(wording.word)
        messages.ended_by(ended.tell)
        senders.paper_made_by(TextKind.INVOICE, wording.invoice_paper)
        messages.worded_by(accounts.invoice_word, TextKind.ACCOUNT_INVOICE)
        senders.paper_made_by(TextKind.ACCOUNT_INVOICE, accounts.invoice_paper)
        messages.worded_by(accounts.statement_word, TextKind.STATEMENT)
        senders.paper_made_by(TextKind.STATEMENT, accounts.statement_made)
        jobs.every("remind customers", 900.0, reminding.job)
