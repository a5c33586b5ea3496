from django.apps import AppConfig


class KeepingConfig(AppConfig):
    name = "shop.keeping"
    label = "keeping"
