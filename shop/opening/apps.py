from django.apps import AppConfig


class OpeningConfig(AppConfig):
    name = "shop.opening"
    label = "opening"
