from django.apps import AppConfig


class OfficeConfig(AppConfig):
    name = "shop.office"
    label = "office"
