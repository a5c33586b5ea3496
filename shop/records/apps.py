from django.apps import AppConfig


class RecordsConfig(AppConfig):
    name = "shop.records"
    label = "records"
