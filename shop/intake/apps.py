from django.apps import AppConfig


class IntakeConfig(AppConfig):
    name = "shop.intake"
    label = "intake"
