from django.apps import AppConfig


class BooksConfig(AppConfig):
    name = "shop.books"
    label = "books"

    def ready(self) -> None:
        """Models are ready now: this room words and prints its own messages."""
        from shop.books import month_sums, reminders  # noqa: PLC0415
        from shop.books.services import REMINDER  # noqa: PLC0415
        from shop.records import jobs, messages, senders  # noqa: PLC0415

        messages.worded_by(reminders.word, REMINDER)
        senders.paper_made_by(REMINDER, reminders.paper)
        jobs.every("sum months of the books", month_sums.EVERY, month_sums.job)
