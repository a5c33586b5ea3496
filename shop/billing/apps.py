from django.apps import AppConfig


class BillingConfig(AppConfig):
    name = "shop.billing"
    label = "billing"

    def ready(self) -> None:
        """Models are ready now."""
        from shop.billing import event_codes, receipts  # noqa: PLC0415
        from shop.billing.accounts import freeing  # noqa: PLC0415
        from shop.billing.shelf import answered  # noqa: PLC0415
        from shop.intake import event_words  # noqa: PLC0415

        receipts.offer()
        freeing.listen()
        event_words.codes_named_by(event_codes.name_of)
        answered.listen()
