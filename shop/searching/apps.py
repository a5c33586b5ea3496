from django.apps import AppConfig


class SearchingConfig(AppConfig):
    name = "shop.searching"
    label = "searching"

    def ready(self) -> None:
        from shop.searching import following  # noqa: PLC0415  models are ready now

        following.begin()
