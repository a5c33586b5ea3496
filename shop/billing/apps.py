from django.apps import AppConfig


class BillingConfig(AppConfig):
    name = "shop.billing"
    label = "billing"

    def ready(self) -> None:
        from shop.billing import receipts  # noqa: PLC0415  models are ready now

        receipts.offer()
